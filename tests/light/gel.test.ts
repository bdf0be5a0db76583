import fc from 'fast-check';
import {describe, expect, it} from 'vitest';
import {
  kelvinOfMired,
  kelvinThrough,
  miredOfKelvin,
  miredShift,
  usualGels,
  whiteBalanceFor,
} from '../../src/light/gel.js';

const kelvins = fc.double({min: 1500, max: 20_000, noNaN: true});

describe('gels', () => {
  it('go from kelvin to mired and back', () => {
    fc.assert(
      fc.property(kelvins, kelvin => {
        expect(kelvinOfMired(miredOfKelvin(kelvin))).toBeCloseTo(kelvin, 6);
      }),
    );
  });

  it('add their shifts, in whichever order they lie on one another', () => {
    const shifts = fc.double({min: 0, max: 200, noNaN: true});
    fc.assert(
      fc.property(kelvins, shifts, shifts, (kelvin, a, b) => {
        const both = kelvinThrough(kelvinThrough(kelvin, a), b);
        expect(both).toBeCloseTo(kelvinThrough(kelvin, a + b), 5);
        expect(both).toBeCloseTo(kelvinThrough(kelvinThrough(kelvin, b), a), 5);
      }),
    );
  });

  it('warm with a positive shift and cool with a negative one', () => {
    expect(kelvinThrough(5500, 159)).toBeLessThan(5500);
    expect(kelvinThrough(5500, -78)).toBeGreaterThan(5500);
  });

  it('can be undone by the opposite shift', () => {
    fc.assert(
      fc.property(kelvins, kelvins, (from, to) => {
        expect(kelvinThrough(from, miredShift(from, to))).toBeCloseTo(to, 4);
      }),
    );
  });

  it('that cool past every colour temperature are refused', () => {
    expect(() => kelvinThrough(20_000, -137)).toThrow("leaves no colour temperature; check the gel's mired shift.");
  });

  it('ask for the white balance that leaves the wanted warmth', () => {
    const light = kelvinThrough(5500, 159);
    expect(whiteBalanceFor(light, 0)).toBeCloseTo(light, 6);
    // A picture that is 100 mired warmer than neutral: the camera is set 100 mired cooler than the light.
    expect(miredOfKelvin(light) - miredOfKelvin(whiteBalanceFor(light, 100))).toBeCloseTo(100, 6);
    expect(whiteBalanceFor(light, 100)).toBeGreaterThan(light);
  });

  it('in the usual list (from memory) lose more light the more they shift', () => {
    const warm = usualGels.filter(gel => gel.miredShift > 0).toSorted((a, b) => a.miredShift - b.miredShift);
    const losses = warm.map(gel => gel.lossStops);
    expect(losses).toEqual(losses.toSorted((a, b) => a - b));
  });
});
