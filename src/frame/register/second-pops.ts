import {sampleAt} from '../bilinear.js';
import type {PixelEllipse} from '../pixel-ellipse.js';
import {headSpectra, type PreparedPlates, REGISTER_FLOOR} from '../prepared-plates.js';
import {coarseShift, headSpectrum} from './coarse-shift.js';
import {type Pose, placementOf} from './pose.js';
import {type Refined, refinePose} from './refine-pose.js';

/** How far the head must have moved between two pops, in parts of the face's half height, to stand twice. */
const LEAST_MOVE = 0.02;
const FARTHEST = 1;

/** What is left of the frame's head when one set of pops is taken away. */
const leftOver = (
  plates: PreparedPlates,
  frame: Float32Array,
  face: PixelEllipse,
  {poses, power}: Refined,
): Float32Array => {
  const {width, height, smooth} = plates;
  const left = new Float32Array(width * height);
  const reach = 1.6 * Math.max(face.rx, face.ry);
  const placements = poses.map(placementOf);
  for (let y = Math.max(0, Math.floor(face.cy - reach)); y < Math.min(height, face.cy + reach); y++) {
    for (let x = Math.max(0, Math.floor(face.cx - reach)); x < Math.min(width, face.cx + reach); x++) {
      let model = 0;
      placements.forEach((p, k) => {
        if (power[k]! <= 0) return;
        const px = p.ax * x + p.bx * y + p.cx;
        const py = p.ay * x + p.by * y + p.cy;
        model += power[k]! * sampleAt(smooth[k]!, width, height, px, py);
      });
      left[y * width + x] = Math.max(0, frame[y * width + x]! - model);
    }
  }
  return left;
};

/**
 * Looks for the head a second time, moved: lights that popped twice with movement between.
 * @param frame linear luminance less the dark plate's, smoothed like the plates
 * @param first what explains the frame best by one set of pops
 * @param power how much of each light the first set may stand for
 * @returns poses of a second set of pops that may be tried, or null
 */
export const secondPoses = (
  plates: PreparedPlates,
  frame: Float32Array,
  face: PixelEllipse,
  first: Refined,
): Pose[] | null => {
  const {width, height} = plates;
  const left = leftOver(plates, frame, face, first);
  const seen = headSpectrum(left, width, height, face, REGISTER_FLOOR);
  const origin = first.poses[0]!;
  const size = {width, height, planes: plates.smooth};
  let best: Refined | null = null;
  for (const spectrum of headSpectra(plates, face)) {
    const {dx, dy} = coarseShift(spectrum, seen, face);
    if (Math.hypot(dx, dy) > FARTHEST * face.ry) continue;
    const starts = first.poses.map(pose => ({...pose, dx, dy}));
    const refined = refinePose(size, {values: left, light: frame}, face, starts, 6, 'together');
    if (!best || refined.misfit < best.misfit) best = refined;
  }
  const moved = best?.poses[0];
  if (!best || !moved || Math.hypot(moved.dx - origin.dx, moved.dy - origin.dy) < LEAST_MOVE * face.ry) return null;
  return best.poses;
};
