import {levelEv} from '../../../shared/level.js';
import type {Measurement} from '../../../shared/reading.js';
import {colourTemperature} from './colour-temperature.js';
import {type LitWall, OF_CODE, overDoubt} from './lit-wall.js';
import {type NewLight, softLightOn} from './new-light.js';
import {sideOf} from './side.js';
import type {WallLight, WallPlates} from './wall-samples.js';

/** Rise of the wall from which new light is said to come from somewhere, EV. */
const LEAST_RISE = 0.35;
/** The part of the flashes' spill on the wall by which it may be overrated; new light under this part of it may be spill. */
const OVERRATED = 0.1;
const ONLY_SPILL = 0.08;
/** Rise, EV, that is more than spill, or a glow about a trail, leaves. */
const DOUBTED_RISE = 0.75;
/**
 * New light is told from what is doubtful where the brighter tenth of the wall exceeds its doubts so many times; beneath the
 * lowest there is none, beneath the next it may be a trail's glow, and beyond the highest it isn't spill.
 */
const NONE = 0.5;
const MAY_GLOW = 1.2;
const CERTAIN = 2.2;
/** New light darker than this has no colour that eight bits could tell, linear. */
const LEAST_COLOURED = 0.0015;

const finite = (value: number): number | null => (Number.isFinite(value) ? value : null);

const mean = (values: ArrayLike<number>): number =>
  Array.from(values).reduce((sum, value) => sum + value, 0) / Math.max(1, values.length);

/** Colour temperature of the new light, from the brightest fifth of the blocks that fit. */
const temperatureOf = (wall: WallLight, newLight: NewLight): number | null => {
  const order = [...newLight.blocks.keys()]
    .filter(i => newLight.weights[i]! > 0.5)
    .sort((a, b) => newLight.blocks[b]! - newLight.blocks[a]!);
  const chosen = order.slice(0, Math.max(4, Math.floor(order.length / 5)));
  const [r, g, b] = wall.restOf.map(plane => mean(chosen.map(i => plane[i]!))) as [number, number, number];
  return Math.min(r, g, b) >= 0 && Math.max(r, g, b) > LEAST_COLOURED ? colourTemperature(r, g, b) : null;
};

/**
 * Linear levels of the wall on the dark plate and in the frame, without flashes and trail; what one code value more than on
 * the dark plate is; and the least difference that counts.
 */
type Levels = {dark: number; now: number; ofCode: number; least: number};

/** Rise in EV. What is darker than eight bits can tell isn't known to be so: it counts as that dark. */
const riseOf = ({dark, now, ofCode}: Levels): number => Math.log2(1 + (now - dark) / Math.max(dark, ofCode));

/** New light on all of the wall in the mean: what comes from below lies mostly beside the sitter, where none is looked at. */
const meanOfNew = ({blocks, parts}: NewLight, beside: WallPlates['beside']): number => {
  let sum = mean(blocks) * blocks.length;
  let count = blocks.length;
  for (const {y, xs} of beside) {
    for (const light of softLightOn(parts, xs, Float64Array.of(y))) sum += light;
    count += xs.length;
  }
  return sum / Math.max(1, count);
};

/** Levels of the wall, linear: on the dark plate, and in the frame without flashes and trail. */
const levelsOf = ({wall, newLight, ofCode}: LitWall, beside: WallPlates['beside']): Levels => {
  const dark = mean(wall.dark);
  const least = overDoubt(newLight) >= CERTAIN ? ofCode : OF_CODE;
  const added = meanOfNew(newLight, beside);
  // Light can't be taken away: where it looks so, the flashes' spill was a little overrated, unless it is more than that.
  if (added > 0 && !(overDoubt(newLight) >= NONE)) return {dark, now: dark, ofCode, least};
  return {dark, now: dark + (added < 0 ? Math.min(0, added + OVERRATED * mean(wall.flash)) : added), ofCode, least};
};

/** How far the fitted curve is believed where it leads to nearly black. */
const FITTED = 0.75;
const between = (fitted: number, plain: number): number => FITTED * fitted + (1 - FITTED) * plain;

/**
 * Rise in EV by both curves. Less than eight bits can tell is none, however many times it is of nothing; through a curve that
 * ends in a power they tell less, if what they tell is certain.
 */
const riseBetween = (fitted: Levels, plain: Levels): number => {
  const added = between(fitted.now - fitted.dark, plain.now - plain.dark);
  return Math.abs(added) < between(fitted.least, plain.least) ? 0 : between(riseOf(fitted), riseOf(plain));
};

/** Whether what is seen of the wall has risen for certain; what is only thought to go on beside it proves nothing. */
const isRisen = (fitted: LitWall, plain: LitWall): boolean => {
  const [one, other] = [levelsOf(fitted, []), levelsOf(plain, [])];
  const over = overDoubt(fitted.newLight);
  const maySpill = one.now - one.dark < ONLY_SPILL * mean(fitted.wall.flash);
  const isDoubted = !(over >= (maySpill ? CERTAIN : MAY_GLOW));
  return riseBetween(one, other) > (isDoubted ? DOUBTED_RISE : LEAST_RISE);
};

/**
 * The wall's level, its rise over the dark plate, and whence and of which colour the new light is.
 * @param fitted through the fitted curve, and `plain` through the plain one: the flashes say little of how a curve treats
 *   what is nearly black, so that level and rise lie between both, in stops
 */
export const ambientReading = (
  {blocks, beside}: Pick<WallPlates, 'blocks' | 'beside'>,
  fitted: LitWall,
  plain: LitWall,
  hasDark: boolean,
): Measurement['ambient'] => {
  const risen = hasDark && isRisen(fitted, plain);
  const seen = risen ? beside : [];
  const [one, other] = [levelsOf(fitted, seen), levelsOf(plain, seen)];
  const level = between(levelEv(one.now), levelEv(other.now));
  const rise = riseBetween(one, other);
  return {
    levelEv: finite(level),
    riseEv: hasDark ? finite(rise) : null,
    side: risen ? sideOf(blocks, fitted.newLight.blocks, fitted.newLight.doubts) : null,
    kelvin: risen ? temperatureOf(fitted.wall, fitted.newLight) : null,
  };
};
