import {describe, expect, it} from 'vitest';
import type {FlashLight} from '../../shared/rig.js';
import {distanceStops, effectiveGuideNumber, flashLevelEv, fNumberAt, manyStops} from '../../src/light/flash.js';
import {stopsOfFilterFactor, stopsOfTransmission} from '../../src/light/gel.js';
import {guideNumberAtIso100} from '../../src/light/guide-number.js';
import {powerSteps} from '../../src/light/power.js';
import {testRig} from '../light/test-rig.js';

/** Printed f-numbers are rounded to marks; a third of a stop is the most that such a table is off. */
const nearStops = (got: number, printed: number, stops: number): void =>
  expect(Math.abs(2 * Math.log2(got / printed))).toBeLessThan(stops);

describe('flash against published examples', () => {
  it('GN 60 at 7.5 m is f/8 (a camera maker, flash basics)', () => {
    expect(fNumberAt(60, 7.5)).toBe(8);
  });

  it('GN 32 at 4, 3 and 1.5 m is f/8, 10.67, 21.33, printed as f/8, 11, 22 (a flash manual)', () => {
    expect(fNumberAt(32, 4)).toBe(8);
    expect(fNumberAt(32, 3)).toBeCloseTo(10.67, 2);
    expect(fNumberAt(32, 1.5)).toBeCloseTo(21.33, 2);
    nearStops(fNumberAt(32, 3), 11, 0.1);
    nearStops(fNumberAt(32, 1.5), 22, 0.1);
  });

  it('GN 20 at 5 m is f/4 (a flash manual)', () => {
    expect(fNumberAt(20, 5)).toBe(4);
  });

  it('full, ¼ and 1/16 power at 1.2 m are f/16, f/8, f/4 (a flash manual; the ratio matters)', () => {
    const full = fNumberAt(effectiveGuideNumber(19.2, 100, 1), 1.2);
    expect(full).toBeCloseTo(16, 9);
    expect(fNumberAt(effectiveGuideNumber(19.2, 100, 1 / 4), 1.2)).toBeCloseTo(8, 9);
    expect(fNumberAt(effectiveGuideNumber(19.2, 100, 1 / 16), 1.2)).toBeCloseTo(4, 9);
  });

  it('GN 51 stated at ISO 200 is 5.67 at 9 m, and 102 at ISO 800 (a camera manual)', () => {
    const at100 = guideNumberAtIso100(51, 200);
    expect(fNumberAt(effectiveGuideNumber(at100, 200, 1), 9)).toBeCloseTo(5.67, 2);
    expect(effectiveGuideNumber(at100, 800, 1)).toBeCloseTo(102, 9);
  });

  it('each of these, seen as a level, is middle grey', () => {
    const light = (guideNumberMetres: number): FlashLight => ({
      ...testRig.lights[0]!,
      guideNumberMetres,
      power: 1,
      gel: null,
      snoot: null,
    });
    for (const [guideNumber, metres, fNumber] of [
      [60, 7.5, 8],
      [32, 4, 8],
      [20, 5, 4],
    ] as const) {
      expect(flashLevelEv(light(guideNumber), {shutterSeconds: 8, fNumber, iso: 100}, metres)).toBeCloseTo(0, 9);
    }
  });

  it.each([
    [Math.SQRT2, -1],
    [1.5, -1.17],
    [2, -2],
    [3, -3.17],
    [0.5, 2],
  ])('%d times the distance is %d stops (computed from the inverse square law)', (factor, stops) => {
    expect(distanceStops(1, factor)).toBeCloseTo(stops, 3);
  });

  it.each([
    [2, 1],
    [3, 1.585],
    [4, 2],
    [8, 3],
  ])('%d equal lights are +%d stops (computed)', (count, stops) => {
    expect(manyStops(count)).toBeCloseTo(stops, 3);
  });

  it.each([
    [0.79, 0.34],
    [0.55, 0.863],
    [0.5, 1],
    [0.25, 2],
  ])('a transmission of %d loses %d stops (computed)', (transmission, stops) => {
    expect(Math.abs(stopsOfTransmission(transmission) - stops)).toBeLessThan(0.001);
  });

  it.each([
    [2, 1],
    [4, 2],
    [8, 3],
  ])('filter factor %d is %d stops (Kodak filter table)', (factor, stops) => {
    expect(stopsOfFilterFactor(factor)).toBeCloseTo(stops, 9);
  });

  it('power in thirds goes 1, .7937, .6300, .5 … and reaches 1/128 after 21 steps (computed)', () => {
    expect(powerSteps.slice(0, 4).map(step => Number(step.toFixed(4)))).toEqual([1, 0.7937, 0.63, 0.5]);
    expect(powerSteps[21]).toBeCloseTo(0.0078125, 12);
  });
});
