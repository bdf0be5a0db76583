// node --import tsx tests/rooms-apart/evaluate.ts DIR: holds what src/frame reads against the truth of make_rooms.py.
import {readdirSync, readFileSync} from 'node:fs';
import {join} from 'node:path';
import {measureFrame} from '../../src/frame/measure.js';
import {loadPlates} from '../../src/frame/plates.js';

type Trail = {coverage: number; crossing: number; headGap: number | null; headGapNarrow: number | null};
type Truth = {
  file: string;
  plan: {trail: string | null};
  lights: {id: string; fired: boolean; ev: number | null}[];
  ambient: {riseEv: number; riseMedianEv: number; side: string | null};
  trail: (Trail & {asSet: Trail; crossingClass: 'crossing' | 'none' | 'between'}) | null;
  trailLight?: {ev: number; width: number};
  doubtful: boolean;
};

const folder = process.argv[2];
if (!folder) throw new Error('Say which folder make_rooms.py wrote.');

const counts = new Map<string, [number, number]>();
const errors = new Map<string, number[]>();
let where = '';
const wrong = (what: string, isWrong: boolean, say = '') => {
  const [bad, all] = counts.get(what) ?? [0, 0];
  counts.set(what, [bad + Number(isWrong), all + 1]);
  if (isWrong) console.log(`${where}  ${what} ${say}`);
};
const error = (what: string, by: number, budget: number, say = '') => {
  errors.set(what, [...(errors.get(what) ?? []), by]);
  if (by > budget) console.log(`${where}  ${what} off by ${by.toFixed(3)} ${say}`);
};
const gapError = (got: number | null, want: number | null) =>
  got === null || want === null ? Number(got !== want) : Math.abs(got - want);
const show = (n: number | null | undefined) => (n == null ? 'null' : n.toFixed(3));

const took: number[] = [];
for (const room of readdirSync(folder)
  .filter(name => /^apart-\d+$/.test(name))
  .sort()) {
  const truths: {frames: Truth[]} = JSON.parse(readFileSync(join(folder, room, 'truth.json'), 'utf8'));
  const plates = await loadPlates(join(folder, room, 'plates'));
  for (const truth of truths.frames) {
    const began = performance.now();
    const got = await measureFrame(join(folder, room, truth.file), plates, plates.zones);
    took.push(performance.now() - began);
    const light = truth.trailLight;
    where = `${room} ${truth.file} (${truth.plan.trail}${light ? ` ${light.ev} EV ${light.width}` : ''})`;

    for (const want of truth.lights) {
      const read = got.lights.find(one => one.id === want.id);
      wrong(
        'fired',
        read?.fired !== want.fired,
        `${want.id} fired ${want.fired}, read ${read?.fired} ${show(read?.ev)}`,
      );
      if (want.ev !== null && read?.ev != null)
        error('power', Math.abs(read.ev - want.ev), 0.25, `${want.id} is ${show(want.ev)}, read ${show(read.ev)}`);
    }

    if (!truth.plan.trail) wrong('trail claimed', got.trail !== null);
    else if (truth.trail && !truth.doubtful) {
      wrong('trail missed', got.trail === null);
      const {asSet, crossingClass} = truth.trail;
      const crossing = `is ${show(truth.trail.crossing)}, read ${show(got.trail?.crossing)}`;
      const seen = (got.trail?.crossing ?? 0) >= 0.005;
      if (crossingClass === 'crossing') wrong('crossing missed', !seen, crossing);
      if (crossingClass === 'none') wrong('crossing falsely seen', seen, crossing);
      if (got.trail) {
        // the ellipse moved with the head, or as set; straight above by the whole width, or by half of it
        const {coverage, headGap} = got.trail;
        const covers = [truth.trail, asSet].map(one => one.coverage);
        error(
          'coverage',
          Math.min(...covers.map(c => Math.abs(c - coverage))),
          0.04,
          `${covers}, read ${show(coverage)}`,
        );
        error('coverage, ellipse moved', Math.abs(covers[0]! - coverage), 1);
        const wide = [truth.trail, asSet].map(one => gapError(headGap, one.headGap));
        const narrow = [truth.trail, asSet].map(one => gapError(headGap, one.headGapNarrow));
        error('head gap', Math.min(...wide, ...narrow), 0.06, `${show(truth.trail.headGap)}, read ${show(headGap)}`);
        error('head gap, within rx', Math.min(...wide), 1);
        error('head gap, within rx/2', Math.min(...narrow), 1);
      }
    }

    const {side, riseEv, riseMedianEv} = truth.ambient;
    const said = `is ${side} ${show(riseEv)}..${show(riseMedianEv)}, read ${got.ambient.side} ${show(got.ambient.riseEv)}`;
    const rise = got.ambient.riseEv ?? 0;
    if (side) {
      wrong('leak side', got.ambient.side !== side, said);
      const [low, high] = [Math.min(riseEv, riseMedianEv), Math.max(riseEv, riseMedianEv)];
      error('rise', Math.max(low - rise, rise - high, 0), 0.3, said);
    } else {
      wrong('side claimed', got.ambient.side !== null && got.ambient.side !== 'even', said);
      error('rise without leak', Math.abs(rise), 0.5, said);
    }
  }
}

const at = (sorted: number[], q: number) => sorted[Math.min(sorted.length - 1, Math.floor(q * sorted.length))]!;
errors.set('ms', took);
console.log(`\n${'wrong'.padEnd(26)}  of`);
for (const [what, [bad, all]] of counts) console.log(`${what.padEnd(22)} ${String(bad).padStart(3)} ${all}`);
console.log(`\n${''.padEnd(26)}p50    p90    max      n`);
for (const [what, all] of errors) {
  const sorted = [...all].sort((a, b) => a - b);
  const digits = what === 'ms' ? 0 : 3;
  const cells = [at(sorted, 0.5), at(sorted, 0.9), sorted.at(-1)!].map(n => n.toFixed(digits).padStart(6));
  console.log(`${what.padEnd(22)} ${cells.join(' ')} ${String(all.length).padStart(6)}`);
}
