import {sampleAt} from '../bilinear.js';
import {boxMean} from '../box-mean.js';
import {floats} from '../scratch.js';
import {coarseShift, headSpectrum} from './coarse-shift.js';
import {type HeadPlates, type Offset, REGISTER_FLOOR} from './head-plates.js';
import type {Smoothed} from './head-window.js';
import {type Pose, placementOf} from './pose.js';
import {type Refined, refinePose} from './refine-pose.js';
import {FEW_POINTS, layersOf, POINTS} from './register-head.js';

/** How far the head must have moved between two pops, in parts of the face's half height, to stand twice. */
const LEAST_MOVE = 0.02;
const FARTHEST = 1.5;
/** How far around the first place, in half heights, in how many directions, and how many of these are followed. */
const AROUND = [0.25, 0.5, 0.75, 1];
const DIRECTIONS = 12;
const LIKELIEST = 3;
/** A second set of pops is no weaker than this. */
const LEAST_POWER = 0.12;

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
 * A head that moved far stands at the edge of what is correlated, where it is tapered away: places around the first are
 * looked at too.
 * @returns the likeliest few
 */
const shiftsAround = (plates: HeadPlates, left: Float32Array, frame: Smoothed, first: Refined): Offset[] => {
  const {face} = plates;
  const {width, height} = plates.window;
  const coarse = layersOf(plates, light => light.smoother);
  const seen = {values: boxMean(left, width, height, 4), light: frame.smooth};
  const origin = first.poses[0]!;
  const tried: {dx: number; dy: number; misfit: number}[] = [];
  for (const part of AROUND) {
    for (let n = 0; n < DIRECTIONS; n++) {
      const angle = (2 * Math.PI * n) / DIRECTIONS;
      const dx = origin.dx + part * face.ry * Math.cos(angle);
      const dy = origin.dy + part * face.ry * Math.sin(angle);
      const starts = first.poses.map(pose => ({...pose, dx, dy}));
      const {misfit, power} = refinePose(coarse, seen, face, starts, 0, 'together', FEW_POINTS);
      if (power.some(own => own > LEAST_POWER)) tried.push({dx, dy, misfit});
    }
  }
  return tried.sort((a, b) => a.misfit - b.misfit).slice(0, LIKELIEST);
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
  const shifts = plates.spectra.map(spectrum => coarseShift(spectrum, seen, face));
  for (const {dx, dy} of [...shifts, ...shiftsAround(plates, left, frame, first)]) {
    if (Math.hypot(dx, dy) > FARTHEST * face.ry) continue;
    const starts = first.poses.map(pose => ({...pose, dx, dy}));
    const refined = refinePose(layers, {values: left, light: frame.smooth}, face, starts, 6, 'together', POINTS);
    // Nothing is explained best where nothing is left.
    if (!refined.power.some(own => own > LEAST_POWER)) continue;
    if (!best || refined.misfit < best.misfit) best = refined;
  }
  if (best) best = refinePose(layers, {values: left, light: frame.smooth}, face, best.poses, 5, 'turning', POINTS);
  const moved = best?.poses[0];
  if (!best || !moved || Math.hypot(moved.dx - origin.dx, moved.dy - origin.dy) < LEAST_MOVE * face.ry) return null;
  return best.poses;
};
