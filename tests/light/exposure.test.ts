import fc from 'fast-check';
import {describe, expect, it} from 'vitest';
import {apex, ev100, flashStopsBetween, stopsBetween} from '../../src/light/exposure.js';
import {LightFault} from '../../src/light/fault.js';

const at = (shutterSeconds: number, fNumber: number, iso: number) => ({shutterSeconds, fNumber, iso});

const exposures = fc.record({
  shutterSeconds: fc.double({min: 1e-4, max: 3600, noNaN: true}),
  fNumber: fc.double({min: 0.7, max: 64, noNaN: true}),
  iso: fc.double({min: 25, max: 409_600, noNaN: true}),
});

describe('exposure', () => {
  it('has APEX values that add up: Ev = Av + Tv, and Ev100 takes the sensitivity off', () => {
    fc.assert(
      fc.property(exposures, exposure => {
        const {av, tv, sv, ev} = apex(exposure);
        expect(ev).toBeCloseTo(av + tv, 9);
        // Sv is 5 at ISO 100 (Exif).
        expect(ev100(exposure)).toBeCloseTo(ev - (sv - 5), 9);
      }),
    );
  });

  it('gives back the way it came: there and back again is no change', () => {
    fc.assert(
      fc.property(exposures, exposures, (a, b) => {
        expect(stopsBetween(a, b)).toBeCloseTo(-stopsBetween(b, a), 9);
        expect(flashStopsBetween(a, b)).toBeCloseTo(-flashStopsBetween(b, a), 9);
      }),
    );
  });

  it('adds up over steps: from a to c is from a to b and from b to c', () => {
    fc.assert(
      fc.property(exposures, exposures, exposures, (a, b, c) => {
        expect(stopsBetween(a, c)).toBeCloseTo(stopsBetween(a, b) + stopsBetween(b, c), 8);
      }),
    );
  });

  it('brightens the room, but not the flash, with time', () => {
    fc.assert(
      fc.property(exposures, fc.double({min: 1.001, max: 100, noNaN: true}), (exposure, factor) => {
        const longer = {...exposure, shutterSeconds: exposure.shutterSeconds * factor};
        expect(stopsBetween(exposure, longer)).toBeCloseTo(Math.log2(factor), 8);
        expect(flashStopsBetween(exposure, longer)).toBe(0);
      }),
    );
  });

  it('brightens room and flash alike with ISO and aperture', () => {
    fc.assert(
      fc.property(exposures, exposures, (a, b) => {
        const sameTime = {...b, shutterSeconds: a.shutterSeconds};
        expect(stopsBetween(a, sameTime)).toBeCloseTo(flashStopsBetween(a, sameTime), 8);
      }),
    );
  });

  it('goes on into bulb times without a seam', () => {
    expect(stopsBetween(at(30, 8, 100), at(120, 8, 100))).toBeCloseTo(2, 9);
  });

  it('refuses what no camera can be set to, in one sentence', () => {
    expect(() => ev100(at(0, 8, 100))).toThrow(new LightFault('The shutter time is 0 s; it must be more than 0 s.'));
    expect(() => ev100(at(8, -8, 100))).toThrow('The f-number is −8; it must be more than 0.');
    expect(() => ev100(at(8, 8, Number.NaN))).toThrow('The ISO value is not a number that can be used');
  });
});
