import {coarseShift, headSpectrum} from './coarse-shift.js';
import {type HeadPlates, REGISTER_FLOOR} from './head-plates.js';
import type {HeadWindow, Smoothed} from './head-window.js';
import {type Pose, still} from './pose.js';
import {type Layers, type Refined, refinePose} from './refine-pose.js';

/** No head sways further than this between the plates and a frame, as part of the head's height. */
const FARTHEST = 0.6;

export const layersOf = (plates: HeadPlates, pick: (light: Smoothed) => Float32Array): Layers => ({
  width: plates.window.width,
  height: plates.window.height,
  planes: plates.lights.map(pick),
});

/** A pose in the window as one in the frame. */
export const inFrame = (pose: Pose, {left, top, step}: HeadWindow): Pose => ({
  ...pose,
  centre: {x: left + pose.centre.x * step, y: top + pose.centre.y * step},
  dx: pose.dx * step,
  dy: pose.dy * step,
});

/**
 * Finds how the head stands against the plates: phase correlation against all lights together and each alone, then least
 * squares from the best of these (and from standing still), coarse to fine, at last for each light by itself.
 * @returns poses in the window's pixels
 */
export const registerHead = (plates: HeadPlates, frame: Smoothed): Refined => {
  const {face} = plates;
  const {width, height} = plates.window;
  if (plates.lights.length === 0) return {poses: [], misfit: 0, power: new Float64Array(0)};
  const centre = {x: face.cx, y: face.cy};
  const starts: Pose[] = [still(centre)];
  const seen = headSpectrum(frame.smooth, width, height, face, REGISTER_FLOOR);
  for (const spectrum of plates.spectra) {
    const {dx, dy} = coarseShift(spectrum, seen, face);
    if (Math.hypot(dx, dy) > FARTHEST * 2 * face.ry) continue;
    if (starts.some(start => Math.hypot(start.dx - dx, start.dy - dy) < 0.02 * face.ry)) continue;
    starts.push({...still(centre), dx, dy});
  }
  const coarse = layersOf(plates, light => light.smoother);
  // Fine detail alone: broad shading would also be moved by a tone curve that isn't known yet.
  const fine = layersOf(plates, light => light.detail);
  const broad = {values: frame.smoother, light: frame.smooth};
  const sharp = {values: frame.detail, light: frame.smooth};
  const all = (pose: Pose): Pose[] => plates.lights.map(() => pose);
  const best = starts
    .map(start => refinePose(coarse, broad, face, all(start), 6, 'together'))
    .map(({poses}) => refinePose(fine, sharp, face, poses, 3, 'together'))
    .reduce((one, other) => (other.misfit < one.misfit ? other : one));
  const turned = refinePose(fine, sharp, face, best.poses, 5, 'turning');
  return plates.lights.length > 1 ? refinePose(fine, sharp, face, turned.poses, 4, 'apart') : turned;
};
