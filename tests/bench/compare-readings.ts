import type {Measurement} from '../../shared/reading.js';

/*
 * Whether two ways of measuring a frame agree, value by value, within what the frame itself leaves open.
 */

/** What plain-measures.py says: our reading without what only our program keeps. */
export type PlainReading = Pick<Measurement, 'lights' | 'ambient'> & {
  frame: Pick<Measurement['frame'], 'file' | 'width' | 'height'>;
  spill: Pick<Measurement['spill'][number], 'light' | 'levelEv' | 'at'>[];
  face: Omit<Measurement['face'], 'doubled'>;
  trail: Pick<
    NonNullable<Measurement['trail']>,
    'coverage' | 'crossing' | 'headGap' | 'offset' | 'clippedFraction'
  > | null;
  histogram: number[];
};

/** One value of both, and whether they agree; "open" where the frame cannot tell it. */
export type Compared = {
  what: string;
  ours: string;
  plain: string;
  within: string;
  state: 'agrees' | 'differs' | 'open';
};

type Value = number | string | boolean | null;

const shown = (value: Value): string => (typeof value === 'number' ? value.toFixed(3) : String(value));

/** The room's light rose so far over the dark plate, EV, that it drowns the flashes: nothing tells them or the curve. */
const DROWNED_EV = 3;
/** Under this level, EV, eight bits hold one code value or none. */
const NO_CODE_EV = -8;
/** A spill under this level is there for one way of measuring and not for the other. */
const NO_SPILL_EV = -9;
/** Bins of the histogram from this level on count: in deeper ones lie one code value or none each. */
const HISTOGRAM_FROM_EV = -6;

/** Shares of the picture in whole stops, from −6 EV on. */
const stops = (counts: readonly number[], fromEv: number, stepEv: number): number[] => {
  const all = counts.reduce((sum, count) => sum + count, 0);
  const shares: number[] = [];
  for (let bin = (HISTOGRAM_FROM_EV - fromEv) / stepEv; bin < counts.length; bin += 1 / stepEv) {
    shares.push(counts.slice(bin, bin + 1 / stepEv).reduce((sum, count) => sum + count, 0) / all);
  }
  return shares;
};

export const compareReadings = (ours: Measurement, plain: PlainReading): Compared[] => {
  const found: Compared[] = [];
  const add = (what: string, a: Value, b: Value, within: string, agrees: boolean, isOpen = false): void => {
    const state = isOpen ? 'open' : agrees ? 'agrees' : 'differs';
    found.push({what, ours: shown(a), plain: shown(b), within, state});
  };
  const same = (what: string, a: Value, b: Value, isOpen = false): void => add(what, a, b, 'the same', a === b, isOpen);
  const near = (what: string, a: number | null, b: number | null, within: number, isOpen = false): void => {
    const agrees = a === null || b === null ? a === b : Math.abs(a - b) <= within;
    add(what, a, b, `±${within}`, agrees, isOpen);
  };
  const isDrowned = Math.min(ours.ambient.riseEv ?? 0, plain.ambient.riseEv ?? 0) > DROWNED_EV;

  same('width', ours.frame.width, plain.frame.width);
  same('height', ours.frame.height, plain.frame.height);
  for (const [k, light] of ours.lights.entries()) {
    const other = plain.lights[k]!;
    same(`${light.id} fired`, light.fired, other.fired, isDrowned);
    // A JPEG's curve isn't known but to be fitted, by each in its own way.
    near(`${light.id} power, EV`, light.ev, other.ev, 0.15, isDrowned);
  }

  const levels = [ours.ambient.levelEv, plain.ambient.levelEv] as const;
  const isBlack = levels.every(level => level !== null && level < NO_CODE_EV);
  // The middle of the curve is no plate's to tell: what light a code value stands for in all is open by some tenths.
  near('wall, EV', ...levels, isBlack ? 0.5 : 0.75);
  // From a dark plate of less than one code value, 10 EV up or 11 is the same.
  near('wall rise, EV', ours.ambient.riseEv, plain.ambient.riseEv, isDrowned ? 1.5 : 0.5);
  same('side of new light', ours.ambient.side, plain.ambient.side);
  near('colour of new light, K', ours.ambient.kelvin, plain.ambient.kelvin, 500, isDrowned);

  for (const patch of ours.spill) {
    const other = plain.spill.find(({light}) => light === patch.light) ?? null;
    // Two or three code values: one more is two thirds of a stop.
    const isFaint = other === null && patch.levelEv < NO_SPILL_EV;
    near(`spill of ${patch.light}, EV`, patch.levelEv, other?.levelEv ?? null, 0.75, isDrowned || isFaint);
    const apart = other ? Math.hypot(patch.at.x - other.at.x, patch.at.y - other.at.y) : null;
    near(`spill of ${patch.light}: apart by`, 0, apart, 0.06, isDrowned || isFaint);
  }

  // A patch that only the plain measures find must be as faint.
  for (const {light, levelEv} of plain.spill) {
    if (levelEv < NO_SPILL_EV || ours.spill.some(patch => patch.light === light)) continue;
    near(`spill of ${light}, EV`, null, levelEv, 0.75, isDrowned);
  }

  near('face, EV', ours.face.levelEv, plain.face.levelEv, 0.5);
  near('face, left over right, EV', ours.face.leftRightEv, plain.face.leftRightEv, 0.25);
  near('face, clipped part', ours.face.clippedFraction, plain.face.clippedFraction, 0.005);
  near('sharpness', ours.face.sharpness, plain.face.sharpness, 0.25, isDrowned);
  near('shift of the head, x', ours.face.shift.x, plain.face.shift.x, 0.002);
  near('shift of the head, y', ours.face.shift.y, plain.face.shift.y, 0.002);

  same('a trail', ours.trail !== null, plain.trail !== null);
  if (ours.trail && plain.trail) {
    const {trail} = plain;
    near('trail: coverage', ours.trail.coverage, trail.coverage, 0.05, isDrowned);
    const crossings = [ours.trail.crossing, trail.crossing] as const;
    const isOneSide = crossings.every(part => part >= 0.01) || crossings.every(part => part < 0.01);
    const isNear = Math.abs(crossings[0] - crossings[1]) <= 0.01;
    add('trail: crossing', ...crossings, '±0.01, or 0.01 at least in both or neither', isOneSide || isNear);
    near('trail: head gap', ours.trail.headGap, trail.headGap, 0.06);
    near('trail: offset x, heads', ours.trail.offset.x, trail.offset.x, 0.1, isDrowned);
    near('trail: offset y, heads', ours.trail.offset.y, trail.offset.y, 0.1, isDrowned);
    near('trail: clipped part', ours.trail.clippedFraction, trail.clippedFraction, 0.02);
  }

  const {counts, fromEv, stepEv} = ours.histogram;
  const others = stops(plain.histogram, fromEv, stepEv);
  stops(counts, fromEv, stepEv).forEach((share, n) => {
    const from = HISTOGRAM_FROM_EV + n;
    near(`part of the picture, ${from} to ${from + 1} EV`, share, others[n]!, 0.005);
  });
  return found;
};
