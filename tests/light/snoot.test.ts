import fc from 'fast-check';
import {describe, expect, it} from 'vitest';
import type {Snoot} from '../../shared/rig.js';
import {snootShare, snootSpot} from '../../src/light/snoot.js';
import {HEAD_BREADTH_METRES, spotOnFace, swayMargin} from '../../src/light/sway.js';
import {testRig} from './test-rig.js';

const snoot = (sourceMillimetres: number, exitMillimetres: number, tubeMillimetres: number): Snoot => ({
  name: 'test',
  sourceMillimetres,
  exitMillimetres,
  tubeMillimetres,
  lossStops: 0,
});

const snoots = fc.record({
  name: fc.constant('any'),
  sourceMillimetres: fc.double({min: 0, max: 150, noNaN: true}),
  exitMillimetres: fc.double({min: 10, max: 200, noNaN: true}),
  tubeMillimetres: fc.double({min: 50, max: 600, noNaN: true}),
  lossStops: fc.constant(0),
});
const throws = fc.double({min: 0.1, max: 5, noNaN: true});

describe('a snoot', () => {
  it('throws an outer spot that is the full one and a soft edge on both sides', () => {
    fc.assert(
      fc.property(snoots, throws, (tube, throwMetres) => {
        const {fullMetres, outerMetres, penumbraMetres} = snootSpot(tube, throwMetres);
        if (fullMetres !== null) expect(outerMetres).toBeCloseTo(fullMetres + 2 * penumbraMetres, 9);
        else expect(outerMetres).toBeLessThanOrEqual(2 * penumbraMetres + 1e-9);
      }),
    );
  });

  it('has a wider outer spot and a softer edge the farther it throws', () => {
    fc.assert(
      fc.property(snoots, throws, throws, (tube, a, b) => {
        const near = snootSpot(tube, Math.min(a, b));
        const far = snootSpot(tube, Math.max(a, b));
        expect(far.outerMetres).toBeGreaterThanOrEqual(near.outerMetres);
        expect(far.penumbraMetres).toBeGreaterThanOrEqual(near.penumbraMetres);
      }),
    );
  });

  it('says that no point sees the whole source where the full spot would be negative', () => {
    const {fullMetres, sourceSeen} = snootSpot(snoot(40, 30, 250), 1.2);
    expect(fullMetres).toBeNull();
    expect(sourceSeen).toBeLessThan(1);
  });

  it('shows its middle the whole source exactly where there is a full spot', () => {
    fc.assert(
      fc.property(snoots, throws, (tube, throwMetres) => {
        const {fullMetres, sourceSeen} = snootSpot(tube, throwMetres);
        expect(sourceSeen === 1).toBe(fullMetres !== null);
      }),
    );
  });

  it('lights nothing in its own tube, all of it in the full spot, and ever less outwards', () => {
    fc.assert(
      fc.property(snoots, throws, fc.double({min: 0, max: 1, noNaN: true}), (tube, throwMetres, off) => {
        const along = throwMetres + tube.tubeMillimetres / 1000;
        const {fullMetres, outerMetres} = snootSpot(tube, throwMetres);
        expect(snootShare(tube, tube.tubeMillimetres / 1000 - 0.001, 0)).toBe(0);
        if (fullMetres !== null) expect(snootShare(tube, along, (fullMetres / 2) * (1 - 1e-6))).toBeCloseTo(1, 6);
        expect(snootShare(tube, along, (outerMetres / 2) * (1 + 1e-6))).toBeCloseTo(0, 6);
        expect(snootShare(tube, along, off)).toBeGreaterThanOrEqual(snootShare(tube, along, off + 0.05) - 1e-9);
      }),
    );
  });

  it('refuses a face inside the tube', () => {
    const light = {...testRig.lights[0]!, distanceMetres: 0.2};
    expect(() => spotOnFace(light)).toThrow(
      'Light A stands 0.2 m from the face, and its snoot alone is 0.22 m long; check both.',
    );
    expect(spotOnFace({...light, snoot: null})).toBeNull();
  });
});

describe('sway in the spot', () => {
  it('from the camera minds only sideways sway, from the side only to and fro', () => {
    expect(swayMargin(0.36, 0)).toEqual({
      covers: 'spot holds the face',
      sidewaysMetres: expect.closeTo(0.1, 9),
      toAndFroMetres: null,
    });
    expect(swayMargin(0.36, 90)).toEqual({
      covers: 'spot holds the face',
      sidewaysMetres: null,
      toAndFroMetres: expect.closeTo(0.1, 9),
    });
  });

  it('is judged the other way round when the spot is smaller than the face', () => {
    const margin = swayMargin(0.1, 0);
    expect(margin.covers).toBe('spot lies on the face');
    expect(margin.sidewaysMetres).toBeCloseTo((HEAD_BREADTH_METRES - 0.1) / 2, 9);
  });

  it('allows more, the more the spot differs from the face', () => {
    expect(swayMargin(0.4, 30).sidewaysMetres!).toBeGreaterThan(swayMargin(0.3, 30).sidewaysMetres!);
  });
});
