import type {Measurement} from '../../shared/reading.js';
import type {FrameTruth, RoomTruth} from './frame-truth.js';

/** What the reading is held to, from the issue that asked for it. */
export const budgets = {
  powerEv: 0.25,
  coverage: 0.04,
  headGapHeads: 0.06,
  riseEv: 0.3,
};

/** A reading's crossing counts as seen from here on: half of the least that has to be seen. */
const crossingSeen = 0.005;

/** One number held against the truth; null where the truth is not sharp enough to judge. */
export type FrameScore = {
  room: string;
  frame: FrameTruth;
  curve: string;
  head: string;
  fired: {right: number; wrong: number};
  /** |error| per fired light that isn't mostly clipped. */
  power: number[];
  crossing: 'right' | 'missed' | 'false' | null;
  trail: 'right' | 'missed' | 'false' | null;
  coverage: number | null;
  headGap: number | null;
  /** The same against the ellipse as it was set on the plate, not moved with the head. */
  headGapAsSet: number | null;
  offset: number | null;
  side: 'right' | 'wrong' | null;
  rise: number | null;
  /** Against what the JPEG shows when read as plain sRGB. */
  riseSeen: number | null;
  spill: number[];
  leftRight: number | null;
  shift: number;
  milliseconds: number;
  failures: string[];
};

const signed = (value: number): string => `${value < 0 ? '−' : '+'}${Math.abs(value).toFixed(2)}`;

const toInterval = (value: number, a: number, b: number): number =>
  Math.max(0, Math.min(a, b) - value, value - Math.max(a, b));

const gapError = (truth: FrameTruth['trail'], read: number | null): number | null => {
  if (!truth) return null;
  if (truth.headGap === null) return read === null ? 0 : 1;
  // Where a narrower reading of "straight above" finds nothing, nothing is a right answer too.
  if (read === null) return truth.headGapNarrow === null ? null : 1;
  return Math.abs(read - truth.headGap);
};

/** Holds one reading against the truth of its frame. */
export const scoreFrame = (room: RoomTruth, truth: FrameTruth, read: Measurement): FrameScore => {
  const failures: string[] = [];
  const fired = {right: 0, wrong: 0};
  const power: number[] = [];
  for (const light of truth.lights) {
    const seen = read.lights.find(other => other.id === light.id);
    if ((seen?.fired ?? false) === light.fired) fired.right += 1;
    else {
      fired.wrong += 1;
      failures.push(
        light.fired
          ? `${light.id} fired (${signed(light.ev ?? 0)} EV) but was not seen`
          : `${light.id} seen but did not fire (read ${signed(seen?.ev ?? 0)} EV)`,
      );
    }
    if (light.ev !== null && seen?.ev !== null && seen?.ev !== undefined && light.clipped < 0.6) {
      const error = seen.ev - light.ev;
      power.push(Math.abs(error));
      if (Math.abs(error) > budgets.powerEv)
        failures.push(`power of ${light.id} ${signed(seen.ev)} EV, true ${signed(light.ev)}`);
    }
  }

  const seenTrail = read.trail !== null;
  let trail: FrameScore['trail'] = null;
  if (truth.presence === 'there') trail = seenTrail ? 'right' : 'missed';
  if (truth.presence === 'none') trail = seenTrail ? 'false' : 'right';
  if (trail === 'missed')
    failures.push(`trail missed (${truth.trail!.pixels} pixels, median ${signed(truth.trail!.levelEv)} EV)`);
  if (trail === 'false')
    failures.push(
      `trail claimed where none is (coverage ${read.trail!.coverage.toFixed(2)}, crossing ${read.trail!.crossing.toFixed(3)})`,
    );

  let crossing: FrameScore['crossing'] = null;
  const readCrossing = read.trail?.crossing ?? 0;
  if (truth.crossing === 'crossing') crossing = readCrossing >= crossingSeen ? 'right' : 'missed';
  if (truth.crossing === 'none') crossing = readCrossing >= crossingSeen ? 'false' : 'right';
  if (crossing === 'missed')
    failures.push(`crossing missed: ${readCrossing.toFixed(4)}, true ${truth.trail!.crossing.toFixed(3)}`);
  if (crossing === 'false') failures.push(`crossing falsely seen: ${readCrossing.toFixed(4)}`);

  const coverage =
    truth.trail && truth.coverageFirm ? Math.abs((read.trail?.coverage ?? 0) - truth.trail.coverage) : null;
  if (coverage !== null && coverage > budgets.coverage)
    failures.push(`coverage ${(read.trail?.coverage ?? 0).toFixed(2)}, true ${truth.trail!.coverage.toFixed(2)}`);
  const headGap = read.trail && truth.coverageFirm ? gapError(truth.trail, read.trail.headGap) : null;
  if (headGap !== null && headGap > budgets.headGapHeads)
    failures.push(
      `head gap ${read.trail?.headGap?.toFixed(2) ?? 'none'}, true ${truth.trail!.headGap?.toFixed(2) ?? 'none'}`,
    );

  const {ambient} = truth;
  // What a leak adds to a wall that lies under two codes of eight bits, or under lifted blacks, can't be told from a JPEG.
  const sharp = room.curve !== 'lifted' && ambient.darkCode >= 2.5;
  const riseRead = read.ambient.riseEv;
  const rise = riseRead === null || !sharp ? null : toInterval(riseRead, ambient.riseEv, ambient.riseMedianEv);
  if (rise !== null && rise > budgets.riseEv)
    failures.push(
      `rise ${signed(riseRead!)} EV, true ${signed(ambient.riseEv)} (median ${signed(ambient.riseMedianEv)}, seen ${signed(ambient.riseSeenEv)})`,
    );
  const side = read.ambient.side === ambient.side ? 'right' : 'wrong';
  if (side === 'wrong')
    failures.push(
      `leak side ${read.ambient.side ?? 'none'}, true ${ambient.side ?? 'none'} (rise ${signed(ambient.riseEv)})`,
    );

  const spill = truth.spill.flatMap(patch => {
    if (patch.levelEv < Math.max(-6.5, ambient.levelEv - 0.5)) return [];
    const seen = read.spill.find(other => other.light === patch.light);
    return [seen ? Math.hypot(seen.at.x - patch.at.x, seen.at.y - patch.at.y) : 1];
  });
  const {face} = read;
  return {
    room: room.room,
    frame: truth,
    curve: room.curve,
    head: room.head,
    fired,
    power,
    crossing,
    trail,
    coverage,
    headGap,
    headGapAsSet: read.trail && truth.coverageFirm ? gapError(truth.trailAsSet, read.trail.headGap) : null,
    offset:
      read.trail && truth.trail
        ? Math.hypot(read.trail.offset.x - truth.trail.offset.x, read.trail.offset.y - truth.trail.offset.y)
        : null,
    side,
    rise,
    riseSeen: riseRead === null ? null : Math.abs(riseRead - ambient.riseSeenEv),
    spill,
    leftRight:
      face.leftRightEv === null || truth.lights.every(light => !light.fired)
        ? null
        : Math.abs(face.leftRightEv - truth.face.leftRightEv),
    shift: Math.hypot(face.shift.x - truth.face.shift.x, face.shift.y - truth.face.shift.y),
    milliseconds: read.timing.decodeMs + read.timing.measureMs,
    failures,
  };
};
