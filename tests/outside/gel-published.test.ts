import {describe, expect, it} from 'vitest';
import {kelvinThrough, miredOfKelvin, miredShift, usualGels} from '../../src/light/gel.js';

/* CS: colour-science/colour, its tests of CCT_to_mired. */
describe('mired against published values', () => {
  it.each([
    [3200, 312.5],
    [6500, 153.846],
    [15_000, 66.667],
  ])('%d K is %d mired (CS)', (kelvin, mired) => {
    expect(miredOfKelvin(kelvin)).toBeCloseTo(mired, 3);
  });

  it('5500 → 3200 K is +130.68 mired, 6500 → 3200 K +158.65 (computed)', () => {
    expect(miredShift(5500, 3200)).toBeCloseTo(130.68, 2);
    expect(miredShift(6500, 3200)).toBeCloseTo(158.65, 2);
  });

  it('a 5500 K flash through +159 mired is 2934 K (computed)', () => {
    expect(kelvinThrough(5500, 159)).toBeCloseTo(2934, 0);
  });

  it('the warming gels match 6500 K → 3200, 3800 and 4600 K within 10 K (computed; the shifts themselves are from memory)', () => {
    const shiftOf = (name: string): number => usualGels.find(gel => gel.name === name)!.miredShift;
    for (const [name, kelvin] of [
      ['full CTO', 3200],
      ['half CTO', 3800],
      ['quarter CTO', 4600],
    ] as const) {
      expect(Math.abs(kelvinThrough(6500, shiftOf(name)) - kelvin)).toBeLessThan(10);
    }
  });
});
