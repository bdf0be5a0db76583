import type {Samples} from '../../src/frame/fit/samples.js';
import {numbers} from './quick-numbers.js';

/**
 * Two lights over many points, alone and together, through a curve, with a code's noise.
 * @param dark the room's own light, linear
 * @param skew how many of the points are nearly as dark: light is spread as this power of an even spread
 */
export const seenThrough = (code: (linear: number) => number, seed = 5, dark = 0.004, skew = 2): Samples => {
  const random = numbers(seed);
  const count = 600;
  const noisy = (linear: number): number => Math.min(255, 255 * code(Math.min(1, linear)) + random() - 0.5);
  const light = (): Float64Array => Float64Array.from({length: 3 * count}, () => 0.45 * random() ** skew);
  const [one, other] = [light(), light()];
  return {
    count,
    xs: new Float64Array(count),
    ys: new Float64Array(count),
    frame: one.map((value, i) => noisy(dark + value + other[i]!)),
    dark: new Float64Array(3 * count).map(() => noisy(dark)),
    lights: [one, other].map(plane => plane.map(value => noisy(dark + value))),
    roughness: new Float64Array(3 * count),
    doubt: new Float64Array(3 * count).fill(1),
    reflected: new Float64Array(3 * count).fill(1),
    group: new Uint8Array(count),
  };
};
