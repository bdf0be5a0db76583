import type {Check, Measurement, Reading, TrailReading} from '../../shared/reading.js';
import type {Rig} from '../../shared/rig.js';
import type {Zones} from '../../shared/zones.js';
import type {JudgeInput} from '../../src/judge/contract.js';
import {judge} from '../../src/judge/judge.js';
import {testRig} from '../light/test-rig.js';

/*
 * A measurement in which everything is as it should be; tests change one thing in it.
 */

export const zones: Zones = {face: {cx: 0.5, cy: 0.45, rx: 0.08, ry: 0.16}};

/** Directions (5° each, clockwise from the right of the picture) of a trail that leaves out this run of degrees. */
export const trailWithout = (fromDegrees: number, toDegrees: number): boolean[] =>
  Array.from({length: 72}, (_, index) => {
    const away = (index * 5 - fromDegrees + 360) % 360;
    return away >= (toDegrees - fromDegrees + 360) % 360;
  });

export const goodTrail: TrailReading = {
  coverage: 0.86,
  crossing: 0,
  headGap: 0.5,
  offset: {x: 0.05, y: -0.2},
  clippedFraction: 0.05,
  crossingAt: null,
  levelEv: 1.4,
  unevenEv: 0.6,
  directions: trailWithout(65, 115),
};

export const goodMeasurement: Measurement = {
  schema: 1,
  frame: {
    file: '007.jpg',
    width: 6000,
    height: 4000,
    takenAt: null,
    exposure: {shutterSeconds: 8, fNumber: 8, iso: 100},
  },
  lights: [
    {id: 'A', fired: true, ev: 0},
    {id: 'B', fired: true, ev: 0.1},
  ],
  ambient: {levelEv: -9, riseEv: 0, side: null, kelvin: null},
  spill: [
    {light: 'A', levelEv: -7, at: {x: 0.9, y: 0.4}, share: 0.9},
    {light: 'B', levelEv: -6.5, at: {x: 0.1, y: 0.4}, share: 0.92},
  ],
  face: {levelEv: -0.6, clippedFraction: 0, leftRightEv: 1.2, sharpness: 0.96, shift: {x: 0.002, y: 0}, doubled: false},
  trail: goodTrail,
  histogram: {fromEv: -12, stepEv: 1, counts: [1, 2, 3]},
  missing: [],
  timing: {decodeMs: 0, measureMs: 0},
};

export const inputOf = (measurement: Measurement, more: Partial<JudgeInput> = {}): JudgeInput => ({
  measurement,
  limits: {},
  rig: testRig,
  exposure: {shutterSeconds: 8, fNumber: 8, iso: 100},
  changes: [],
  earlier: [],
  zones,
  ...more,
});

export const withTrail = (change: Partial<TrailReading>): Measurement => ({
  ...goodMeasurement,
  trail: {...goodTrail, ...change},
});

export const withFace = (change: Partial<Measurement['face']>): Measurement => ({
  ...goodMeasurement,
  face: {...goodMeasurement.face, ...change},
});

export const withSpill = (light: string, levelEv: number, share = 0.92): Measurement => ({
  ...goodMeasurement,
  spill: goodMeasurement.spill.map(patch => (patch.light === light ? {...patch, levelEv, share} : patch)),
});

export const withLight = (id: string, fired: boolean, ev: number | null): Measurement => ({
  ...goodMeasurement,
  lights: goodMeasurement.lights.map(light => (light.id === id ? {id, fired, ev} : light)),
});

/** The reading that the judge makes of a measurement, as the shoot keeps it. */
export const readingOf = (measurement: Measurement, more: Partial<JudgeInput> = {}): Reading => ({
  ...measurement,
  ...judge(inputOf(measurement, more)),
});

export const checkNamed = (checks: Check[], id: string): Check => {
  const check = checks.find(each => each.id === id);
  if (!check) throw new Error(`no check ${id} among ${checks.map(each => each.id).join(', ')}`);
  return check;
};

/** The demo rig with one light changed. */
export const rigWith = (id: string, change: Partial<Rig['lights'][number]>): Rig => ({
  ...testRig,
  lights: testRig.lights.map(light => (light.id === id ? {...light, ...change} : light)),
});
