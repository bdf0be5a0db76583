import fc from 'fast-check';
import {describe, expect, it} from 'vitest';
import type {PaintingLight} from '../../shared/rig.js';
import {handSpeedFor, trailLevelEv} from '../../src/light/painting.js';

const wand: PaintingLight = {name: 'wand', kelvin: 3200, trailEv: 1.5, atFNumber: 8, atIso: 100};
const exposure = {shutterSeconds: 8, fNumber: 8, iso: 100};

describe('the painting light', () => {
  it('leaves the level that the rig says at the settings that the rig says', () => {
    expect(trailLevelEv(wand, exposure)).toBe(1.5);
  });

  it('does not mind how long the shutter is open', () => {
    fc.assert(
      fc.property(fc.double({min: 0.5, max: 600, noNaN: true}), shutterSeconds => {
        expect(trailLevelEv(wand, {...exposure, shutterSeconds})).toBe(1.5);
      }),
    );
  });

  it('follows ISO and aperture: ISO 200 is one EV more, f/10 ISO 50 is 1.644 less', () => {
    expect(trailLevelEv(wand, {...exposure, iso: 200})).toBeCloseTo(2.5, 9);
    expect(trailLevelEv(wand, {...exposure, fNumber: 10, iso: 50})).toBeCloseTo(1.5 - 1.644, 3);
  });

  it('halves when the hand is twice as fast, and doubles when it is half as fast', () => {
    expect(trailLevelEv(wand, exposure, 2)).toBeCloseTo(0.5, 9);
    expect(trailLevelEv(wand, exposure, 0.5)).toBeCloseTo(2.5, 9);
    expect(() => trailLevelEv(wand, exposure, 0)).toThrow('The speed of the hand is 0; it must be more than 0.');
  });

  it('reaches a wanted level by the speed of the hand', () => {
    fc.assert(
      fc.property(fc.double({min: -4, max: 4, noNaN: true}), wanted => {
        expect(trailLevelEv(wand, exposure, handSpeedFor(wand, exposure, wanted))).toBeCloseTo(wanted, 8);
      }),
    );
  });
});
