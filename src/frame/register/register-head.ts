import {boxMean} from '../box-mean.js';
import type {PixelEllipse} from '../pixel-ellipse.js';
import {headSpectra, type PreparedPlates, REGISTER_FLOOR} from '../prepared-plates.js';
import {coarseShift, headSpectrum} from './coarse-shift.js';
import {type Pose, still} from './pose.js';
import {type Refined, refinePose} from './refine-pose.js';

/** No head sways further than this between the plates and a frame, as part of the head's height. */
const FARTHEST = 0.6;

/**
 * Finds how the head stands against the plates: phase correlation against all lights together and each alone, then least
 * squares from the best of these (and from standing still), coarse to fine, at last for each light by itself.
 * @param smooth linear luminance of the frame less that of the dark plate, smoothed by a mean over 3 × 3 pixels
 */
export const registerHead = (plates: PreparedPlates, smooth: Float32Array, face: PixelEllipse): Refined => {
  const {width, height} = plates;
  if (plates.own.length === 0) return {poses: [], misfit: 0, power: new Float64Array(0)};
  const smoother = boxMean(smooth, width, height, 4);
  const centre = {x: face.cx, y: face.cy};
  const starts: Pose[] = [still(centre)];
  const seen = headSpectrum(smooth, width, height, face, REGISTER_FLOOR);
  for (const spectrum of headSpectra(plates, face)) {
    const {dx, dy} = coarseShift(spectrum, seen, face);
    if (Math.hypot(dx, dy) > FARTHEST * 2 * face.ry) continue;
    if (starts.some(start => Math.hypot(start.dx - dx, start.dy - dy) < 0.02 * face.ry)) continue;
    starts.push({...still(centre), dx, dy});
  }
  const detail = smooth.map((value, at) => value - smoother[at]!);
  const coarse = {width, height, planes: plates.smoother};
  // Fine detail alone: broad shading would also be moved by a tone curve that isn't known yet.
  const fine = {width, height, planes: plates.detail};
  const best = starts
    .map(start =>
      refinePose(
        coarse,
        {values: smoother, light: smooth},
        face,
        plates.own.map(() => start),
        6,
        'together',
      ),
    )
    .map(({poses}) => refinePose(fine, {values: detail, light: smooth}, face, poses, 3, 'together'))
    .reduce((one, other) => (other.misfit < one.misfit ? other : one));
  const turned = refinePose(fine, {values: detail, light: smooth}, face, best.poses, 5, 'turning');
  return plates.own.length > 1
    ? refinePose(fine, {values: detail, light: smooth}, face, turned.poses, 4, 'apart')
    : turned;
};
