import {boxMean} from './box-mean.js';
import type {CurveBelief} from './curve/belief.js';
import {addedLightShapes} from './fit/added-light.js';
import {fitLights, type LightFit} from './fit/fit-lights.js';
import {type Samples, samplePoints} from './fit/samples.js';
import type {PixelEllipse} from './pixel-ellipse.js';
import {firstCurve, luminanceThrough, type PreparedPlates} from './prepared-plates.js';
import type {RegionMap} from './regions.js';
import {headPoints} from './register/head-points.js';
import {type Pose, placementOf, still} from './register/pose.js';
import {registerHead} from './register/register-head.js';
import {secondPoses} from './register/second-pops.js';
import {fitNewLight, type NewLight} from './room/new-light.js';
import {type WallLight, type WallSamples, wallLight, wallSamples} from './room/wall-samples.js';
import type {WorkImage} from './work-image.js';

/** One set of pops: where each light found the head, and how strong it was against its plate (linear). */
export type Pops = {poses: Pose[]; power: Float64Array};

/** What explains a frame: the pops, the tone curve, and new light on the wall. */
export type Solution = {
  first: Pops;
  /** A second set of pops with the head moved between, where there was one. */
  second: Pops | null;
  /** Where the head stands in the main. */
  pose: Pose;
  /** The face ellipse there. */
  face: PixelEllipse;
  fit: LightFit;
  wall: WallLight;
  newLight: NewLight;
  samples: WallSamples;
};

/** Points of the head that are fitted, and how far beyond the face ellipse. */
const POINTS = 1800;
const REACH = 1.05;
/** Gauss-Newton steps for the tone curve. */
const STEPS = 10;
/** New light on the wall counts on the head too from this part of the head's own light on. */
const NEW_LIGHT_COUNTS = 0.01;
/** A misfit beyond this spread may be a second set of pops; it must take away so much of the misfit, and be so strong. */
const SECOND_SPREAD = 1.6;
const SECOND_GAIN = 0.75;
const SECOND_POWER = 0.12;

const strongest = ({poses, power}: Pops, face: PixelEllipse): Pose => {
  let best = 0;
  power.forEach((value, k) => {
    if (value > power[best]!) best = k;
  });
  return poses[best] ?? still({x: face.cx, y: face.cy});
};

const movedBy = (face: PixelEllipse, {dx, dy, scale}: Pose): PixelEllipse => ({
  cx: face.cx + dx,
  cy: face.cy + dy,
  rx: face.rx * scale,
  ry: face.ry * scale,
});

/** New light on the wall for a curve and powers. */
const newLightOn = (samples: WallSamples, fit: LightFit, power: Float64Array) => {
  const wall = wallLight(samples, fit.curve, power);
  const doubt = wall.flash.map((flash, i) => 0.0003 + 0.05 * wall.dark[i]! + 0.08 * Math.max(0, flash));
  return {wall, newLight: fitNewLight(samples.blocks, wall.rest, doubt)};
};

/** New light by channel around the head: the mean over the blocks that fit, weighted by their nearness. */
const newLightNear = ({wall, newLight}: ReturnType<typeof newLightOn>) => {
  const sums: [number, number, number] = [0, 0, 0];
  let weights = 0;
  newLight.weights.forEach((weight, i) => {
    weights += weight;
    for (const c of [0, 1, 2] as const) sums[c] += weight * wall.restOf[c][i]!;
  });
  return sums.map(sum => Math.max(0, sum / Math.max(1e-9, weights))) as [number, number, number];
};

/** The second set's samples are the first's, with every light once more as its other poses find it. */
const withSecond = (samples: Samples, again: Samples): Samples => ({
  ...samples,
  lights: [...samples.lights, ...again.lights],
  roughness: samples.roughness.map((value, i) => Math.max(value, again.roughness[i]!)),
});

/**
 * Explains a frame by its plates.
 * @param face the face ellipse as it was set on the plates, in pixels
 * @param regions regions about it
 * @param belief what is known of the tone curve
 */
export const solveLights = (
  frame: WorkImage,
  plates: PreparedPlates,
  face: PixelEllipse,
  regions: RegionMap,
  belief: CurveBelief,
): Solution => {
  const {width, height} = frame;
  const luminance = luminanceThrough(frame, firstCurve);
  for (let at = 0; at < luminance.length; at++) luminance[at] = luminance[at]! - plates.darkLuminance[at]!;
  const smooth = boxMean(luminance, width, height, 1);
  const found = registerHead(plates, smooth, face);
  let first: Pops = {poses: found.poses, power: found.power};
  let pose = strongest(first, face);
  const sampleWith = (poses: readonly Pose[]): Samples =>
    samplePoints(
      headPoints(movedBy(face, pose), width, height, REACH, POINTS),
      frame,
      plates.smoothDark,
      plates.smoothLights,
      poses.map(placementOf),
    );
  let samples = sampleWith(first.poses);
  let fit = fitLights(samples, belief, [], STEPS);
  const onWall = wallSamples(frame, plates.smoothDark, plates.smoothLights, regions);
  let room = newLightOn(onWall, fit, fit.power);
  const n = plates.lights.length;
  const headLight = smooth.reduce((most, value) => Math.max(most, value), 0);
  const near = newLightNear(room);
  const shapes =
    Math.max(...near) > NEW_LIGHT_COUNTS * Math.min(0.5, headLight)
      ? addedLightShapes(
          samples,
          movedBy(face, pose),
          {plane: plates.reflectance, width, height},
          placementOf(pose),
          near,
        )
      : [];
  if (shapes.length > 0) {
    fit = fitLights(samples, belief, shapes, STEPS);
    room = newLightOn(onWall, fit, fit.power);
  }
  let second: Pops | null = null;
  if (n > 0 && fit.spread > SECOND_SPREAD) {
    const poses = secondPoses(plates, smooth, face, {...found, power: found.power});
    if (poses) {
      const both = withSecond(samples, sampleWith(poses));
      const twice = fitLights(both, belief, shapes, STEPS);
      const more = twice.power.subarray(n, 2 * n).reduce((sum, value) => Math.max(sum, value), 0);
      if (twice.spread < SECOND_GAIN * fit.spread && more > SECOND_POWER) {
        fit = twice;
        second = {poses, power: Float64Array.from(twice.power.subarray(n, 2 * n))};
        samples = both;
        const total = Float64Array.from(second.power, (value, k) => value + twice.power[k]!);
        room = newLightOn(onWall, fit, total);
      }
    }
  }
  first = {poses: first.poses, power: Float64Array.from(fit.power.subarray(0, n))};
  pose = strongest(first, face);
  return {first, second, pose, face: movedBy(face, pose), fit, samples: onWall, ...room};
};

/** Each light's power over all its pops, linear. */
export const totalPower = ({first, second}: Solution): number[] =>
  [...first.power].map((power, k) => power + (second?.power[k] ?? 0));
