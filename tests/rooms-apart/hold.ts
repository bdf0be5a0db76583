import {readdirSync, readFileSync} from 'node:fs';
import {join} from 'node:path';
import type {Measurement} from '../../shared/reading.js';
import {measureFrames} from '../../src/frame/measure-frames.js';
import {loadPlates} from '../../src/frame/plates.js';
import {percentile} from '../rooms/summary.js';

type Trail = {coverage: number; crossing: number; headGap: number | null};
type Truth = {
  file: string;
  plan: {trail: string | null};
  lights: {id: string; fired: boolean; ev: number | null}[];
  ambient: {riseEv: number; riseMedianEv: number; side: string | null};
  trail: (Trail & {asSet: Trail; crossingClass: 'crossing' | 'none' | 'between'}) | null;
  trailLight?: {ev: number; width: number};
  doubtful: boolean;
};

/** What readings came to against the truth. */
export type Held = {
  frames: number;
  /** How often something that is or is not was told wrong, and of how many. */
  wrong: Map<string, {times: number; of: number}>;
  /** Absolute errors of what has a size. */
  errors: Map<string, number[]>;
  /** A line for everything that is beyond what the project holds itself to. */
  lines: string[];
};

/** A reading's crossing counts as seen from here on: half of the least that has to be seen. */
const CROSSING_SEEN = 0.005;

const gapError = (got: number | null, want: number | null): number =>
  got === null || want === null ? Number(got !== want) : Math.abs(got - want);

const shown = (value: number | null | undefined): string => (value == null ? 'none' : value.toFixed(3));

/** Holds what src/frame reads against the truth of the rooms that make_rooms.py wrote into a folder. */
export const holdRooms = async (folder: string): Promise<Held> => {
  const held: Held = {frames: 0, wrong: new Map(), errors: new Map(), lines: []};
  const rooms = readdirSync(folder).filter(name => /^apart-\d+$/.test(name));
  for (const room of rooms.sort()) {
    const {frames} = JSON.parse(readFileSync(join(folder, room, 'truth.json'), 'utf8')) as {frames: Truth[]};
    const plates = await loadPlates(join(folder, room, 'plates'));
    const files = frames.map(({file}) => join(folder, room, file));
    // With the others of its shoot; with ALONE=1 each frame by itself.
    const groups = process.env.ALONE ? files.map(file => [file]) : [files];
    const measured = (await Promise.all(groups.map(group => measureFrames(group, plates, plates.zones)))).flat();
    for (const [n, truth] of frames.entries()) {
      const own = measured[n]!;
      if ('error' in own) throw own.error;
      const {timing} = own.measurement;
      held.errors.set('time, ms', [...(held.errors.get('time, ms') ?? []), timing.decodeMs + timing.measureMs]);
      held.frames += 1;
      holdFrame(held, `${room}/${truth.file}`, truth, own.measurement);
    }
  }
  return held;
};

const holdFrame = ({wrong, errors, lines}: Held, name: string, truth: Truth, got: Measurement): void => {
  const light = truth.trailLight;
  const where = `${name} (${truth.plan.trail ?? 'no trail'}${light ? ` ${light.ev} EV, ${light.width} wide` : ''})`;
  const told = (what: string, isWrong: boolean, say = ''): void => {
    const {times, of} = wrong.get(what) ?? {times: 0, of: 0};
    wrong.set(what, {times: times + Number(isWrong), of: of + 1});
    if (isWrong) lines.push(`${where}: ${what} ${say}`);
  };
  const off = (what: string, by: number, budget: number, say: string): void => {
    errors.set(what, [...(errors.get(what) ?? []), by]);
    if (by > budget) lines.push(`${where}: ${what} off by ${by.toFixed(3)}, ${say}`);
  };

  for (const want of truth.lights) {
    const read = got.lights.find(one => one.id === want.id);
    told('fired or not', read?.fired !== want.fired, `${want.id}: ${want.fired}, read ${shown(read?.ev)}`);
    if (want.ev === null || read?.ev == null) continue;
    off('power, EV', Math.abs(read.ev - want.ev), 0.25, `${want.id}: ${shown(want.ev)}, read ${shown(read.ev)}`);
  }

  if (truth.plan.trail === null) told('trail claimed', got.trail !== null);
  else if (truth.trail && !truth.doubtful) {
    told('trail missed', got.trail === null);
    const {crossingClass, crossing, coverage, headGap, asSet} = truth.trail;
    const isSeen = (got.trail?.crossing ?? 0) >= CROSSING_SEEN;
    const say = `${shown(crossing)}, read ${shown(got.trail?.crossing)}`;
    if (crossingClass === 'crossing') told('crossing missed', !isSeen, say);
    if (crossingClass === 'none') told('crossing falsely seen', isSeen, say);
    if (got.trail) {
      // Against the ellipse as it moved with the head, or as it was set: the published terms allow both.
      const {trail} = got;
      const ofCoverage = [coverage, asSet.coverage].map(value => Math.abs(value - trail.coverage));
      off('coverage', Math.min(...ofCoverage), 0.04, `${shown(coverage)}, read ${shown(trail.coverage)}`);
      const ofGap = [headGap, asSet.headGap].map(value => gapError(trail.headGap, value));
      off('head gap, heads', Math.min(...ofGap), 0.06, `${shown(headGap)}, read ${shown(trail.headGap)}`);
    }
  }

  const {side, riseEv, riseMedianEv} = truth.ambient;
  const rise = got.ambient.riseEv ?? 0;
  const say = `${side} ${shown(riseEv)} to ${shown(riseMedianEv)}, read ${got.ambient.side} ${shown(rise)}`;
  if (side === null) {
    told('side claimed', got.ambient.side !== null && got.ambient.side !== 'even', say);
    off('rise without leak, EV', Math.abs(rise), 0.5, say);
  } else {
    told('leak side', got.ambient.side !== side, say);
    const [low, high] = [Math.min(riseEv, riseMedianEv), Math.max(riseEv, riseMedianEv)];
    off('rise of leaks, EV', Math.max(low - rise, rise - high, 0), 0.3, say);
  }
};

/** The table, as lines of text. */
export const tableOf = ({frames, wrong, errors}: Held): string =>
  [
    `${frames} frames`,
    ...[...wrong].map(([what, {times, of}]) => `${what.padEnd(22)} ${times} wrong of ${of}`),
    ...[...errors].map(([what, values]) => {
      const [p50, p90, most] = [0.5, 0.9, 1].map(part => percentile(values, part).toFixed(what === 'time, ms' ? 0 : 3));
      return `${what.padEnd(22)} n ${String(values.length).padStart(4)}   p50 ${p50}   p90 ${p90}   max ${most}`;
    }),
  ].join('\n');
