import fc from 'fast-check';
import {describe, expect, it} from 'vitest';
import {
  EQUAL_WITHIN_STOPS,
  equivalentExposures,
  timeFor,
  usualOffers,
  whatChanges,
} from '../../src/light/equivalent.js';
import {stopsBetween} from '../../src/light/exposure.js';
import {
  exactOf,
  type Nominal,
  nearestNominal,
  nearestOf,
  nominalFNumbers,
  nominalIsos,
  nominalShutters,
} from '../../src/light/nominal.js';

const roundings = (series: readonly Nominal[], stopsPerOctave: number): number[] =>
  series.map(({marked, exact}) => stopsPerOctave * Math.abs(Math.log2(marked / exact)));

describe('marked values', () => {
  it('round the thirds of a stop by no more than computed: f 0.141, shutter 0.093, ISO 0.023 stop', () => {
    expect(Math.max(...roundings(nominalFNumbers(), 2))).toBeCloseTo(0.141, 3);
    expect(Math.max(...roundings(nominalShutters(), 1))).toBeCloseTo(0.093, 3);
    expect(Math.max(...roundings(nominalIsos(), 1))).toBeLessThanOrEqual(0.023);
  });

  it('but for f/1.2 round the f-numbers by 0.081 stop at most', () => {
    const rest = nominalFNumbers().filter(({marked}) => marked !== 1.2);
    expect(Math.max(...roundings(rest, 2))).toBeLessThan(0.0812);
  });

  it('in halves stay within a quarter of a stop', () => {
    expect(Math.max(...roundings(nominalFNumbers('halves'), 2))).toBeLessThan(0.25);
    expect(Math.max(...roundings(nominalShutters('halves'), 1))).toBeLessThan(0.25);
    expect(Math.max(...roundings(nominalIsos('halves'), 1))).toBeLessThan(0.05);
  });

  it('grow without a gap or a repeat', () => {
    for (const steps of ['thirds', 'halves'] as const) {
      for (const series of [nominalFNumbers(steps), nominalShutters(steps), nominalIsos(steps)]) {
        const marked = series.map(value => value.marked);
        expect(marked).toEqual([...new Set(marked)].toSorted((a, b) => a - b));
      }
    }
  });

  it('know the exact value behind a mark, and leave other values as they are', () => {
    expect(exactOf(nominalFNumbers(), 11)).toBeCloseTo(11.3137, 4);
    expect(exactOf(nominalShutters(), 30)).toBeCloseTo(32, 9);
    expect(exactOf(nominalShutters(), 47)).toBe(47);
  });

  it('are found nearest in stops, not in numbers', () => {
    expect(nearestNominal(nominalShutters(), 8.7).marked).toBe(8);
    expect(nearestOf([1, 4], 2.1)).toBe(4);
    expect(() => nearestOf([], 2)).toThrow('The camera offers no value to choose from.');
  });
});

describe('equivalent exposures', () => {
  const long = {shutterSeconds: 8, fNumber: 8, iso: 100};

  it('hold 8 s at ISO 100 equal to ¼ s at ISO 3200', () => {
    const found = equivalentExposures(long, {...usualOffers, fNumbers: [8]});
    expect(found).toContainEqual({exposure: {shutterSeconds: 0.25, fNumber: 8, iso: 3200}, errorEv: 0, flashEv: 5});
  });

  it('state their error and stay within the tolerance that marked values need', () => {
    const series = fc.record({
      shutterSeconds: fc.constantFrom(...usualOffers.shutterSeconds),
      fNumber: fc.constantFrom(...usualOffers.fNumbers),
      iso: fc.constantFrom(...usualOffers.isos),
    });
    fc.assert(
      fc.property(series, exposure => {
        for (const {exposure: other, errorEv} of equivalentExposures(exposure)) {
          expect(Math.abs(errorEv)).toBeLessThanOrEqual(EQUAL_WITHIN_STOPS);
          expect(errorEv).toBeCloseTo(stopsBetween(exposure, other), 9);
        }
      }),
      {numRuns: 10},
    );
  });

  it('miss no pair of marks that means the same exact exposure, in all but the sum of three worst roundings', () => {
    const found = equivalentExposures(long);
    const exact = (fNumber: number, iso: number): number =>
      8 * (exactOf(nominalFNumbers(), fNumber) / 8) ** 2 * (100 / exactOf(nominalIsos(), iso));
    for (const fNumber of [5.6, 8, 11, 16]) {
      for (const iso of [100, 200, 400, 800]) {
        const time = nearestNominal(nominalShutters(), exact(fNumber, iso)).marked;
        if (exact(fNumber, iso) > 32) continue;
        expect(found.map(each => each.exposure)).toContainEqual({shutterSeconds: time, fNumber, iso});
      }
    }
  });

  it('come the fastest first', () => {
    const times = equivalentExposures(long).map(each => each.exposure.shutterSeconds);
    expect(times).toEqual(times.toSorted((a, b) => a - b));
  });

  it('give bulb times exactly', () => {
    expect(timeFor(long, 16, 50)).toBeCloseTo(64, 9);
    expect(() => timeFor({...long, shutterSeconds: 3600}, 64, 1)).toThrow('open the aperture or raise the ISO');
  });

  it('tell what changes for room, flash and trail apart', () => {
    const change = whatChanges(long, {shutterSeconds: 4, fNumber: 8, iso: 200});
    expect(change.roomEv).toBeCloseTo(0, 9);
    expect(change.flashEv).toBeCloseTo(1, 9);
    expect(change.trailEv).toBeCloseTo(1, 9);
    expect(change.distanceFactor).toBeCloseTo(Math.SQRT2, 9);
  });
});
