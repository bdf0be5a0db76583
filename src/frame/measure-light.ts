import type {Measurement} from '../../shared/reading.js';
import type {Ellipse} from '../../shared/zones.js';
import type {CurveBelief} from './curve/belief.js';
import {plainTable} from './curve/tone-curve.js';
import {type ActiveLight, expectedLight} from './expected-light.js';
import {faceReading} from './face-reading.js';
import {inPixels} from './pixel-ellipse.js';
import {luminanceThrough, type PreparedPlates} from './prepared-plates.js';
import {regionMap} from './regions.js';
import {placementOf} from './register/pose.js';
import {ambientReading} from './room/ambient-reading.js';
import {newLightPlane} from './room/new-light.js';
import {type Pops, type Solution, solveLights, totalPower} from './solve-lights.js';
import {trailCandidates} from './trail/own-light.js';
import {trailMask} from './trail/trail-mask.js';
import {trailReading} from './trail/trail-reading.js';
import type {WorkImage} from './work-image.js';

export type LightMeasurement = Pick<Measurement, 'lights' | 'ambient' | 'spill' | 'face' | 'trail'>;

/** A light counts as fired from this part of its plate's power on: three and a third stops down. */
const FIRED = 0.1;

export const activeLights = (plates: PreparedPlates, pops: readonly Pops[]): ActiveLight[] =>
  pops.flatMap(({poses, power}) =>
    plates.lights.flatMap(({image}, k) =>
      power[k]! > 0.003 ? [{image, power: power[k]!, placement: placementOf(poses[k]!)}] : [],
    ),
  );

const lightReadings = (plates: PreparedPlates, solution: Solution): LightMeasurement['lights'] => {
  const total = totalPower(solution);
  return plates.lights.map(({id}, k) => {
    const fired = total[k]! > FIRED;
    return {id, fired, ev: fired ? Math.log2(total[k]!) : null};
  });
};

/**
 * Measures a frame's light against its plates.
 * @param ellipse the face ellipse as it was set on the plates, fractions of the frame
 */
export const measureLight = (
  frame: WorkImage,
  plates: PreparedPlates,
  ellipse: Ellipse,
  belief: CurveBelief,
): LightMeasurement => {
  const {width, height} = frame;
  const set = inPixels(ellipse, width, height);
  const regions = regionMap(set, width, height);
  const solution = solveLights(frame, plates, set, regions, belief);
  const {face, fit, pose, second} = solution;
  const pops = second ? [solution.first, second] : [solution.first];
  const light = expectedLight(frame, plates, activeLights(plates, pops), fit.curve, regions);
  const newLight = newLightPlane(solution.newLight, width, height);
  const candidates = trailCandidates(light, newLight, regions);
  const mask = trailMask(candidates, regions, width, height);
  const seen = luminanceThrough(frame, plainTable);
  return {
    lights: lightReadings(plates, solution),
    ambient: ambientReading(solution.samples.blocks, solution.wall, solution.newLight, plates.dark !== null),
    spill: [],
    face: {
      ...faceReading(frame, fit.curve, face, mask, candidates.own),
      sharpness: null,
      shift: {x: pose.dx / width, y: pose.dy / height},
      doubled: second !== null,
    },
    trail: trailReading(mask, candidates.own, seen, width, height, face),
  };
};
