import {levelEv} from '../../../shared/level.js';
import type {Measurement, Side} from '../../../shared/reading.js';
import {colourTemperature} from './colour-temperature.js';
import type {NewLight} from './new-light.js';
import type {WallBlock, WallLight} from './wall-samples.js';

/** Rise of the wall from which new light is said to come from somewhere, EV. */
const LEAST_RISE = 0.25;
/** How much brighter, in EV, new light must be at one edge than at the other not to be even. */
const LEAST_LEAN = 0.7;
/** New light darker than this has no colour that eight bits could tell, linear. */
const LEAST_COLOURED = 0.0015;
/** How deep the strip along an edge is that stands for this side, as a part of the frame. */
const STRIP = 0.25;

const finite = (value: number): number | null => (Number.isFinite(value) ? value : null);

const mean = (values: ArrayLike<number>): number =>
  Array.from(values).reduce((sum, value) => sum + value, 0) / Math.max(1, values.length);

/** From where new light comes: the brightest edge of the wall against the one across. */
export const sideOf = (blocks: readonly WallBlock[], newLight: ArrayLike<number>): Side => {
  const strip = (inside: (block: WallBlock) => boolean): number =>
    mean(Array.from(newLight).filter((_, i) => inside(blocks[i]!)));
  const floor = 0.05 * Math.max(0, mean(newLight)) + 1e-6;
  const lean = (a: number, b: number): number => Math.log2((Math.max(0, a) + floor) / (Math.max(0, b) + floor));
  const across = lean(
    strip(({x}) => x < STRIP),
    strip(({x}) => x > 1 - STRIP),
  );
  const down = lean(
    strip(({y}) => y < STRIP),
    strip(({y}) => y > 1 - STRIP),
  );
  if (Math.max(Math.abs(across), Math.abs(down)) < LEAST_LEAN) return 'even';
  if (Math.abs(across) >= Math.abs(down)) return across > 0 ? 'left' : 'right';
  return down > 0 ? 'top' : 'bottom';
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

/** The wall's level, its rise over the dark plate, and whence and of which colour the new light is. */
export const ambientReading = (
  blocks: readonly WallBlock[],
  wall: WallLight,
  newLight: NewLight,
  hasDark: boolean,
): Measurement['ambient'] => {
  const dark = mean(wall.dark);
  const level = dark + mean(newLight.blocks);
  const rise = Math.log2(level / dark);
  const risen = hasDark && rise > LEAST_RISE;
  return {
    levelEv: finite(levelEv(level)),
    riseEv: hasDark ? finite(rise) : null,
    side: risen ? sideOf(blocks, newLight.blocks) : null,
    kelvin: risen ? temperatureOf(wall, newLight) : null,
  };
};
