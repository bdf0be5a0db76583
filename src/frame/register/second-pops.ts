import {sampleAt} from '../bilinear.js';
import {floats} from '../scratch.js';
import {coarseShift, headSpectrum} from './coarse-shift.js';
import {type HeadPlates, REGISTER_FLOOR} from './head-plates.js';
import type {Smoothed} from './head-window.js';
import {type Pose, placementOf} from './pose.js';
import {type Refined, refinePose} from './refine-pose.js';
import {layersOf, POINTS} from './register-head.js';

/** How far the head must have moved between two pops, in parts of the face's half height, to stand twice. */
const LEAST_MOVE = 0.02;
const FARTHEST = 1;

/** What is left of the frame's head when one set of pops is taken away. */
const leftOver = (plates: HeadPlates, frame: Float32Array, {poses, power}: Refined): Float32Array => {
  const {width, height} = plates.window;
  const left = floats(width * height);
  const placements = poses.map(placementOf);
  for (let y = 0, at = 0; y < height; y++) {
    for (let x = 0; x < width; x++, at++) {
      let model = 0;
      for (let k = 0; k < placements.length; k++) {
        if (power[k]! <= 0) continue;
        const p = placements[k]!;
        const px = p.ax * x + p.bx * y + p.cx;
        const py = p.ay * x + p.by * y + p.cy;
        model += power[k]! * sampleAt(plates.lights[k]!.smooth, width, height, px, py);
      }
      left[at] = Math.max(0, frame[at]! - model);
    }
  }
  return left;
};

/**
 * Looks for the head a second time, moved: lights that popped twice with movement between.
 * @param first what explains the frame best by one set of pops
 * @returns poses of a second set of pops that may be tried, in the window's pixels, or null
 */
export const secondPoses = (plates: HeadPlates, frame: Smoothed, first: Refined): Pose[] | null => {
  const {face} = plates;
  const {width, height} = plates.window;
  const left = leftOver(plates, frame.smooth, first);
  const seen = headSpectrum(left, width, height, face, REGISTER_FLOOR);
  const origin = first.poses[0]!;
  const layers = layersOf(plates, light => light.smooth);
  let best: Refined | null = null;
  for (const spectrum of plates.spectra) {
    const {dx, dy} = coarseShift(spectrum, seen, face);
    if (Math.hypot(dx, dy) > FARTHEST * face.ry) continue;
    const starts = first.poses.map(pose => ({...pose, dx, dy}));
    const refined = refinePose(layers, {values: left, light: frame.smooth}, face, starts, 6, 'together', POINTS);
    if (!best || refined.misfit < best.misfit) best = refined;
  }
  if (best) best = refinePose(layers, {values: left, light: frame.smooth}, face, best.poses, 5, 'turning', POINTS);
  const moved = best?.poses[0];
  if (!best || !moved || Math.hypot(moved.dx - origin.dx, moved.dy - origin.dy) < LEAST_MOVE * face.ry) return null;
  return best.poses;
};
