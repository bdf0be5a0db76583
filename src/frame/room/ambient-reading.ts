import {levelEv} from '../../../shared/level.js';
import type {Measurement, Side} from '../../../shared/reading.js';
import {solveSymmetric} from '../linear-solve.js';
import {biweight, MAD_TO_SIGMA, medianOf} from '../robust.js';
import {colourTemperature} from './colour-temperature.js';
import type {NewLight} from './new-light.js';
import type {WallBlock, WallLight} from './wall-samples.js';

/** Rise of the wall from which new light is said to come from somewhere, EV. */
const LEAST_RISE = 0.25;
/** The part of the flashes' spill on the wall by which it may be overrated. */
const OVERRATED = 0.1;
/** Added light, linear, that a code value or less makes. */
const LEAST_ADDED = 0.0003;
/** How much brighter, in EV, new light must be at one edge than at the other not to be even. */
const LEAST_LEAN = 0.55;
/** New light darker than this has no colour that eight bits could tell, linear. */
const LEAST_COLOURED = 0.0015;

const finite = (value: number): number | null => (Number.isFinite(value) ? value : null);

const mean = (values: ArrayLike<number>): number =>
  Array.from(values).reduce((sum, value) => sum + value, 0) / Math.max(1, values.length);

/** Rounds of the robust fit. */
const ROUNDS = 6;

/**
 * From where new light comes: how its level in stops leans across the frame and down, as a plane laid through the wall's
 * blocks robustly. A plane tells where blocks are missing too (the sitter stands before some).
 */
export const sideOf = (blocks: readonly WallBlock[], newLight: ArrayLike<number>): Side => {
  const floor = 0.05 * Math.max(0, mean(newLight)) + 1e-6;
  const levels = Float64Array.from(newLight, value => Math.log2(Math.max(0, value) + floor));
  let weights = new Float64Array(blocks.length).fill(1);
  let [across, down] = [0, 0];
  for (let round = 0; round < ROUNDS; round++) {
    const gram = new Float64Array(9);
    const moment = new Float64Array(3);
    blocks.forEach(({x, y}, i) => {
      const row = [1, x - 0.5, y - 0.5];
      for (let a = 0; a < 3; a++) {
        moment[a] = moment[a]! + weights[i]! * row[a]! * levels[i]!;
        for (let b = 0; b < 3; b++) gram[3 * a + b] = gram[3 * a + b]! + weights[i]! * row[a]! * row[b]!;
      }
    });
    for (let a = 0; a < 3; a++) gram[4 * a] = gram[4 * a]! + 1e-9;
    const solved = solveSymmetric(gram, moment);
    [across, down] = [solved[1]!, solved[2]!];
    const misfit = Float64Array.from(
      blocks,
      ({x, y}, i) => levels[i]! - solved[0]! - across * (x - 0.5) - down * (y - 0.5),
    );
    const sigma = Math.max(0.1, MAD_TO_SIGMA * medianOf(misfit.map(Math.abs)));
    weights = misfit.map(value => biweight(value, sigma));
  }
  if (!(Math.max(Math.abs(across), Math.abs(down)) >= LEAST_LEAN)) return 'even';
  if (Math.abs(across) >= Math.abs(down)) return across < 0 ? 'left' : 'right';
  return down < 0 ? 'top' : 'bottom';
};

/** Colour temperature of the new light, from the brightest fifth of the blocks that fit. */
const temperatureOf = (wall: WallLight, newLight: NewLight): number | null => {
  const order = [...newLight.blocks.keys()]
    .filter(i => newLight.weights[i]! > 0.5)
    .sort((a, b) => newLight.blocks[b]! - newLight.blocks[a]!);
  const chosen = order.slice(0, Math.max(4, Math.floor(order.length / 5)));
  const [r, g, b] = wall.restOf.map(plane => mean(chosen.map(i => plane[i]!))) as [number, number, number];
  return Math.min(r, g, b) >= 0 && Math.max(r, g, b) > LEAST_COLOURED ? colourTemperature(r, g, b) : null;
};

/** Levels of the wall, linear: on the dark plate, and in the frame without flashes and trail. */
const levelsOf = (wall: WallLight, newLight: NewLight): {dark: number; now: number} => {
  const dark = mean(wall.dark);
  const added = mean(newLight.blocks);
  // Light can't be taken away: where it looks so, the flashes' spill was a little overrated, unless it is more than that.
  return {dark, now: dark + (added < 0 ? Math.min(0, added + OVERRATED * mean(wall.flash)) : added)};
};

export type Room = {wall: WallLight; newLight: NewLight};

/**
 * The wall's level, its rise over the dark plate, and whence and of which colour the new light is.
 * @param fitted through the fitted curve, and `plain` through the plain one: the flashes say little of how a curve treats
 *   what is nearly black, so that level and rise lie halfway between both, in stops
 */
export const ambientReading = (
  blocks: readonly WallBlock[],
  fitted: Room,
  plain: Room,
  hasDark: boolean,
): Measurement['ambient'] => {
  const levels = [fitted, plain].map(({wall, newLight}) => levelsOf(wall, newLight));
  const level = mean(levels.map(({now}) => levelEv(now)));
  const added = mean(levels.map(({now, dark}) => now - dark));
  // Less than eight bits can tell is no rise, however many times it is of nothing.
  const rise = Math.abs(added) < LEAST_ADDED ? 0 : mean(levels.map(({now, dark}) => Math.log2(now / dark)));
  const risen = hasDark && rise > LEAST_RISE;
  return {
    levelEv: finite(level),
    riseEv: hasDark ? finite(rise) : null,
    side: risen ? sideOf(blocks, fitted.newLight.blocks) : null,
    kelvin: risen ? temperatureOf(fitted.wall, fitted.newLight) : null,
  };
};
