import {describe, expect, it} from 'vitest';
import {anyCurve} from '../../src/frame/curve/belief.js';
import {linearToSrgb} from '../../src/frame/curve/srgb.js';
import type {AddedLight} from '../../src/frame/fit/added-rows.js';
import {fitLights} from '../../src/frame/fit/fit-lights.js';
import type {Samples} from '../../src/frame/fit/samples.js';
import {numbers} from './quick-numbers.js';

/*
 * A light that hardly shows on the head, and on the wall looks like light from a side: only together are both told. It is
 * then taken to be about as on its plate. A light that shows is what it is.
 */

const HEAD = 400;
const WALL = 300;
const count = HEAD + WALL;
const code = (linear: number): number => 255 * linearToSrgb(Math.min(1, linear));

/** From the bottom of the frame, over the wall's points. */
const fromBelow = Float64Array.from({length: count}, (_, i) => (i < HEAD ? 0 : Math.exp((HEAD - i) / 90)));
const newLight: AddedLight = {shape: fromBelow, tint: [1, 1, 1], sigma: 1};

/** A bright light on the head and a weak one that the wall shows as new light would; in so much of their powers, with a leak. */
const samplesOf = (powers: readonly [number, number], leak: number): Samples => {
  const random = numbers(3);
  const noisy = (linear: number): number => Math.max(0, Math.min(255, code(linear) + random() - 0.5));
  const dark = 0.002;
  const three = (light: (i: number) => number): Float64Array =>
    Float64Array.from({length: 3 * count}, (_, at) => light(at % count));
  const bright = three(i => (i < HEAD ? 0.4 * random() ** 2 : 0.001));
  const weak = three(i => (i < HEAD ? 0.0003 : 0.03 * fromBelow[i]!));
  return {
    count,
    xs: new Float64Array(count),
    ys: new Float64Array(count),
    frame: bright.map((own, at) =>
      noisy(dark + powers[0] * own + powers[1] * weak[at]! + leak * fromBelow[at % count]!),
    ),
    dark: three(() => noisy(dark)),
    lights: [bright, weak].map(plane => plane.map(own => noisy(dark + own))),
    roughness: new Float64Array(3 * count),
    doubt: new Float64Array(3 * count).fill(1),
    reflected: new Float64Array(3 * count).fill(1),
    group: Uint8Array.from({length: count}, (_, i) => (i < HEAD ? 0 : 2)),
  };
};

const powerOf = (samples: Samples): number[] => [...fitLights(samples, anyCurve, [newLight], 10, {hold: 100}).power];

describe('a light’s power', () => {
  it('is about as on its plate where new light could be taken for it', () => {
    const [bright, weak] = powerOf(samplesOf([1, 1], 0.03)) as [number, number];
    expect(Math.abs(Math.log2(bright))).toBeLessThan(0.1);
    expect(Math.abs(Math.log2(weak))).toBeLessThan(0.4);
  });

  it('is what the head shows of it, however far from its plate', () => {
    for (const stops of [-3, -1, 0.5, 1]) {
      const [bright] = powerOf(samplesOf([2 ** stops, 1], 0)) as [number, number];
      expect(Math.abs(Math.log2(bright) - stops)).toBeLessThan(0.15);
    }
  });

  it('is none where there was none', () => {
    const [bright, weak] = powerOf(samplesOf([1, 0], 0)) as [number, number];
    expect(Math.abs(Math.log2(bright))).toBeLessThan(0.1);
    expect(weak).toBeLessThan(0.05);
  });
});
