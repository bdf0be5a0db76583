import fc from 'fast-check';
import {describe, expect, it} from 'vitest';
import type {Rig} from '../../shared/rig.js';
import {checksFor} from '../../src/judge/judge.js';
import {predictMeasurement, predictScales} from '../../src/judge/predict.js';
import {stopsBetween} from '../../src/light/exposure.js';
import {wallHit} from '../../src/light/geometry.js';
import {moveAtConstantFace} from '../../src/light/spill.js';
import {testRig} from '../light/test-rig.js';
import {checkNamed, goodMeasurement, inputOf, rigWith, withLight} from './readings.js';

const exposure = {shutterSeconds: 8, fNumber: 8, iso: 100};
const now = {rig: testRig, exposure};
const scalesTo = (rig: Rig, to = exposure) => predictScales(now, {rig, exposure: to});

describe('the next frame foretold', () => {
  it('is the same frame when nothing changes', () => {
    expect(scalesTo(testRig)).toEqual({lights: {A: 0, B: 0}, walls: {A: 0, B: 0}, darkEv: 0, trailEv: 0});
    expect(predictMeasurement(goodMeasurement, now, now)).toEqual(goodMeasurement);
  });

  it('scales one light by its power and leaves the rest', () => {
    expect(scalesTo(rigWith('B', {power: 1 / 32}))).toMatchObject({
      lights: {A: 0, B: -2},
      walls: {A: 0, B: -2},
      darkEv: 0,
      trailEv: 0,
    });
  });

  it('scales everything by ISO and aperture, and only the room by time', () => {
    const to = {shutterSeconds: 8, fNumber: 10, iso: 50};
    const scales = scalesTo(testRig, to);
    for (const ev of [scales.lights.A, scales.lights.B, scales.darkEv, scales.trailEv])
      expect(ev).toBeCloseTo(-1.644, 3);
    expect(scalesTo(testRig, {...exposure, shutterSeconds: 2})).toMatchObject({
      lights: {A: 0, B: 0},
      darkEv: -2,
      trailEv: 0,
    });
  });

  it('knows that a light moved nearer gains less on the wall than on the face', () => {
    const scales = scalesTo(rigWith('B', {distanceMetres: 0.8}));
    expect(scales.lights.B).toBeCloseTo(2 * Math.log2(1.1 / 0.8), 9);
    const beyond = wallHit(testRig, testRig.lights[1]!)!.distanceMetres - 1.1;
    expect(scales.walls.B).toBeCloseTo(scales.lights.B! + moveAtConstantFace(1.1, 0.8, beyond, 1).wallEv, 9);
    expect(scales.walls.B!).toBeLessThan(scales.lights.B!);
  });

  it('knows that a light that is off gives nothing', () => {
    const scales = scalesTo(rigWith('B', {on: false}));
    expect(scales.lights.B).toBeNull();
    const after = predictMeasurement(goodMeasurement, now, {rig: rigWith('B', {on: false}), exposure});
    expect(after.lights).toContainEqual({id: 'B', fired: false, ev: null});
    expect(after.spill.map(({light}) => light)).toEqual(['A']);
  });

  it('goes there and back without a rest', () => {
    const settings = fc.record({
      shutterSeconds: fc.double({min: 0.01, max: 60, noNaN: true}),
      fNumber: fc.double({min: 1.4, max: 22, noNaN: true}),
      iso: fc.integer({min: 50, max: 12_800}),
    });
    fc.assert(
      fc.property(settings, settings, (a, b) => {
        const there = predictScales({rig: testRig, exposure: a}, {rig: testRig, exposure: b});
        const back = predictScales({rig: testRig, exposure: b}, {rig: testRig, exposure: a});
        expect(there.lights.A! + back.lights.A!).toBeCloseTo(0, 8);
        expect(there.darkEv + back.darkEv).toBeCloseTo(0, 8);
        expect(there.trailEv + back.trailEv).toBeCloseTo(0, 8);
        expect(there.darkEv).toBeCloseTo(stopsBetween(a, b), 9);
      }),
    );
  });

  it('follows the painting light: a brighter wand, a brighter trail', () => {
    const rig = {...testRig, painting: {...testRig.painting, trailEv: testRig.painting.trailEv + 1}};
    expect(scalesTo(rig).trailEv).toBeCloseTo(1, 9);
    expect(predictMeasurement(goodMeasurement, now, {rig, exposure}).trail!.levelEv).toBeCloseTo(2.4, 9);
  });

  it('gives the checks that are to be expected', () => {
    const after = predictMeasurement(goodMeasurement, now, {rig: testRig, exposure: {...exposure, iso: 800}});
    const input = inputOf(after, {
      plates: [{plate: 'light A', rig: testRig, exposure}],
      exposure: {...exposure, iso: 800},
    });
    expect(checkNamed(checksFor(input), 'spill B')).toMatchObject({state: 'fail', value: -3.5});
    expect(checkNamed(checksFor(input), 'flash A').state).toBe('ok');
    expect(checkNamed(checksFor(input), 'face level').state).toBe('fail');
  });

  it('keeps a light out of the face when it did not fire', () => {
    const dead = withLight('B', false, null);
    expect(predictMeasurement(dead, now, {rig: rigWith('A', {power: 1 / 8}), exposure}).face.levelEv).toBeCloseTo(
      -1.6,
      9,
    );
  });
});
