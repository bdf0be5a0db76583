import fc from 'fast-check';
import {describe, expect, it} from 'vitest';
import {BURIED_EV, buryRoom, darknessFor, describeDarkness, describeRoom} from '../../src/light/darkness.js';
import {usualOffers} from '../../src/light/equivalent.js';
import {HALF_CODE_EV, planProbe, roomFromProbe, usualProbeOffers} from '../../src/light/probe.js';
import {ev100OfLux, ev100OfMetered, luxOfEv100, roomLevelEv} from '../../src/light/room.js';

const long = {shutterSeconds: 8, fNumber: 8, iso: 100};
const roomEvs = fc.double({min: -12, max: 10, noNaN: true});

describe('the room', () => {
  it('of EV −4 falls to −7 EV in 8 s at f/8, ISO 100', () => {
    expect(roomLevelEv(-4, long)).toBeCloseTo(-7, 9);
  });

  it('is the same in lux and in EV, there and back', () => {
    fc.assert(
      fc.property(roomEvs, ev => {
        expect(ev100OfLux(luxOfEv100(ev))).toBeCloseTo(ev, 9);
      }),
    );
  });

  it('doubles its level by one EV when its light doubles', () => {
    fc.assert(
      fc.property(fc.double({min: 1e-4, max: 1e4, noNaN: true}), lux => {
        expect(roomLevelEv(ev100OfLux(2 * lux), long) - roomLevelEv(ev100OfLux(lux), long)).toBeCloseTo(1, 9);
      }),
    );
  });

  it('can be taken from a meter: right at 30 s, f/2, ISO 400 is EV −4.9', () => {
    expect(ev100OfMetered({shutterSeconds: 30, fNumber: 2, iso: 400})).toBeCloseTo(Math.log2(4 / 30) - 2, 9);
    expect(ev100OfMetered({shutterSeconds: 1, fNumber: 1, iso: 100}, 1)).toBe(1);
  });

  it('refuses no light at all and less', () => {
    expect(() => ev100OfLux(0)).toThrow('The room light is 0 lx; it must be more than 0 lx.');
  });

  it('is put into words that never brighten as it darkens', () => {
    const order = [0, -2, -4, -6, -8, -10].map(describeRoom);
    expect(new Set(order).size).toBe(order.length);
    expect(describeRoom(-10)).toContain('less than one step of an 8-bit picture');
  });
});

describe('a probe', () => {
  it('for 8 s at ISO 100 is ¼ s at ISO 3200', () => {
    expect(planProbe(long)).toEqual({
      exposure: {shutterSeconds: 0.25, fNumber: 8, iso: 3200},
      errorEv: 0,
      timesFaster: 32,
    });
  });

  it('is the fastest equal exposure among what the camera offers', () => {
    const slow = planProbe(long, {shutterSeconds: [8, 4, 2, 1], isos: [100, 200, 400, 800]});
    expect(slow.exposure).toEqual({shutterSeconds: 1, fNumber: 8, iso: 800});
  });

  it('says so when the camera offers none', () => {
    expect(() => planProbe(long, {shutterSeconds: [1 / 60], isos: [100]})).toThrow(
      'measure the room with a light meter',
    );
  });

  it('keeps the aperture', () => {
    expect(planProbe({...long, fNumber: 9.5}).exposure.fNumber).toBe(9.5);
  });

  it('gives back the level of the long exposure, its own rounding taken off', () => {
    const probe = {shutterSeconds: 0.3, fNumber: 8, iso: 2500};
    const truth = roomLevelEv(1, long);
    const read = roomFromProbe(roomLevelEv(1, probe), probe, long);
    expect(read.darkerThan).toBe(false);
    expect(read.levelEv).toBeCloseTo(truth, 1);
    expect(read.roomEv100).toBeCloseTo(1, 1);
  });

  it('says "darker than" where the reading is not clear of the noise', () => {
    const {exposure} = planProbe(long);
    const read = roomFromProbe(HALF_CODE_EV + 0.5, exposure, long);
    expect(read.darkerThan).toBe(true);
    expect(read.uncertaintyEv).toBeNull();
    expect(read.levelEv).toBeCloseTo(HALF_CODE_EV + 1, 6);
    expect(read.say).toBe("The room is darker than −9.2 EV: the probe shows no more than the camera's own noise.");
    expect(roomFromProbe(Number.NEGATIVE_INFINITY, exposure, long).darkerThan).toBe(true);
  });

  it('never claims less room than the noise allows: the truth lies within the stated uncertainty', () => {
    const probe = planProbe(long).exposure;
    const floors = fc.double({min: -10, max: -4, noNaN: true});
    fc.assert(
      fc.property(roomEvs, floors, fc.double({min: 0, max: 1, noNaN: true}), (roomEv100, floorEv, part) => {
        const truth = roomLevelEv(roomEv100, probe);
        // What the frame shows: the room plus up to the whole noise floor.
        const measured = Math.log2(2 ** truth + part * 2 ** floorEv);
        const read = roomFromProbe(measured, probe, long, floorEv);
        if (read.darkerThan) expect(truth).toBeLessThanOrEqual(read.levelEv + 1e-9);
        else expect(Math.abs(read.levelEv - truth)).toBeLessThanOrEqual(read.uncertaintyEv! + 1e-9);
      }),
    );
  });

  it('half a code of an 8-bit picture is −10.2 EV (IEC 61966-2-1, computed)', () => {
    expect(HALF_CODE_EV).toBeCloseTo(-10.21, 2);
    expect(Math.max(...usualProbeOffers.isos)).toBe(3200);
  });
});

describe('burying the room', () => {
  it('costs least by time, which touches neither flash nor trail', () => {
    const [first] = buryRoom(long, -3.2);
    expect(first).toMatchObject({by: 'time', reaches: true, flashEv: 0});
    expect(first!.levelEv).toBeLessThanOrEqual(BURIED_EV);
  });

  it('by ISO or aperture takes from the flashes what it takes from the room', () => {
    for (const way of buryRoom(long, -3.5)) {
      if (way.by === 'ISO' || way.by === 'aperture')
        expect(way.flashEv).toBeCloseTo(roomLevelEv(-3.5, long) - way.levelEv, 9);
    }
  });

  it('leaves a dark room alone', () => {
    expect(buryRoom(long, -6)).toEqual([expect.objectContaining({by: 'dark', to: long, reaches: true})]);
  });

  it('puts settings together where none is enough alone', () => {
    const [first, ...others] = buryRoom(long, -1);
    expect(first).toMatchObject({by: 'together', reaches: true});
    expect(others.every(way => !way.reaches)).toBe(true);
    expect(first!.say).toMatch(/^3\.2 s, f\/\d+ and ISO 50: the room falls to/);
  });

  it('never brightens, never goes past f/16, and keeps the seconds that painting needs', () => {
    fc.assert(
      fc.property(roomEvs, fc.double({min: -9, max: -3, noNaN: true}), (roomEv100, wantedLevelEv) => {
        for (const way of buryRoom(long, roomEv100, {wantedLevelEv, leastSeconds: 4})) {
          expect(way.levelEv).toBeLessThanOrEqual(roomLevelEv(roomEv100, long) + 1e-9);
          expect(way.to.fNumber).toBeLessThanOrEqual(16);
          expect(way.to.shutterSeconds).toBeGreaterThanOrEqual(4);
          expect(way.reaches).toBe(way.levelEv <= wantedLevelEv + 1e-6);
        }
      }),
    );
  });

  it('uses only what the camera offers', () => {
    const offers = {...usualOffers, isos: [100], fNumbers: [8], shutterSeconds: [8, 4]};
    expect(buryRoom(long, -3, {offers}).map(way => way.by)).toEqual(['time']);
  });

  it('tells how dark the room must be: for −7 EV at 8 s f/8 ISO 100, EV −4 or 0.16 lx', () => {
    expect(darknessFor(long, -7).roomEv100).toBeCloseTo(-4, 9);
    expect(darknessFor(long, -7).lux).toBeCloseTo(0.15625, 9);
    expect(describeDarkness(long, -7)).toBe('For −7.0 EV the room must be at EV −4.0 (0.16 lx) or darker.');
  });
});
