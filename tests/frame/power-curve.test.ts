import {describe, expect, it} from 'vitest';
import {anyCurve} from '../../src/frame/curve/belief.js';
import {beliefFor, type LearnedCurve, learnFrom} from '../../src/frame/curve/learned-curve.js';
import {linearToSrgb} from '../../src/frame/curve/srgb.js';
import {fitLights} from '../../src/frame/fit/fit-lights.js';
import {seenThrough} from './quick-samples.js';

/*
 * These points are few and the noise is even, so that the gain lies close to the least that is asked: alone a power of 2.3
 * to 2.6 is told here, one of 1.7 to 2.2 or of 2.7 is left to the bent curve. Rooms tell more of them.
 */
describe('a curve that is a plain power', () => {
  it.each([2.3, 2.4, 2.5, 2.6])('of %d is told, down to black', exponent => {
    const fit = fitLights(
      seenThrough(linear => linear ** (1 / exponent)),
      anyCurve,
      [],
      10,
    );
    expect(fit.isPower).toBe(true);
    for (const code of [8, 30, 90, 200]) {
      const stops = Math.log2(fit.curve[code]! / (code / 255) ** exponent);
      expect(Math.abs(stops - Math.log2(fit.curve[255]!))).toBeLessThan(code < 20 ? 0.5 : 0.25);
    }
    for (const power of fit.power) expect(Math.abs(Math.log2(power))).toBeLessThan(0.1);
  });

  it.each([
    ['sRGB', linearToSrgb],
    [
      'sRGB under an S',
      (linear: number) => {
        const v = linearToSrgb(linear);
        return v + 0.5 * (v * v * (3 - 2 * v) - v);
      },
    ],
  ] as const)('is not seen in %s', (_, code) => {
    expect(fitLights(seenThrough(code), anyCurve, [], 10).isPower).toBe(false);
  });
});

/*
 * Each frame says a little; what a power's other frames say of it makes up for what it can't tell alone.
 */
describe('a power that one frame doesn’t tell', () => {
  it.each([2, 2.2])('of %d is told by a few of the same shoot', exponent => {
    const code = (linear: number): number => linear ** (1 / exponent);
    const learned: LearnedCurve = new Map();
    for (const seed of [11, 12, 13, 14, 15, 16]) {
      const {kind, kinds, againstPowers} = fitLights(seenThrough(code, seed), anyCurve, [], 10);
      learnFrom(learned, `${seed}.jpg`, {kind, kinds, againstPowers: againstPowers!});
    }
    expect(fitLights(seenThrough(code), anyCurve, [], 10).isPower).toBe(false);
    const told = fitLights(seenThrough(code), beliefFor(learned, 'other.jpg'), [], 10);
    expect(told.isPower).toBe(true);
    for (const level of [8, 30, 90, 200]) {
      const stops = Math.log2(told.curve[level]! / (level / 255) ** exponent);
      expect(Math.abs(stops - Math.log2(told.curve[255]!))).toBeLessThan(level < 20 ? 0.5 : 0.25);
    }
  });
});
