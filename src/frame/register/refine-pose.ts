import {sampleAt} from '../bilinear.js';
import {nonNegativeLeastSquares} from '../fit/nnls.js';
import {solveSymmetric} from '../linear-solve.js';
import type {PixelEllipse} from '../pixel-ellipse.js';
import {biweight, MAD_TO_SIGMA, medianOf, medianSize} from '../robust.js';
import {headPoints, type Points} from './head-points.js';
import {type Placement, type Pose, placementOf} from './pose.js';

/** Planes at one size: each light's own luminance on its plate, smoothed, or its fine detail alone. */
export type Layers = {width: number; height: number; planes: readonly Float32Array[]};

/**
 * The frame's luminance less the dark plate's, treated like the layers, and its light as such: what differences are held
 * against.
 */
export type FrameLight = {values: Float32Array; light: Float32Array};

export type Refined = {
  /** One for each layer; they share turn and scale. */
  poses: Pose[];
  /** Robust misfit: median of the absolute residual relative to the light. */
  misfit: number;
  /** The misfit as a part of what it would be if no light fell on the head: where that is dark, nothing is explained. */
  unexplained: number;
  /** What of the points is not explained, 0..1: unlike the median it also tells of a light that falls on few of them. */
  lost: number;
  power: Float64Array;
};

/**
 * What may move: `together`: one shift; `turning`: one shift, turn and scale; `apart`: a shift for each light (its plate
 * was taken at another moment, and so was its pop), one turn and scale.
 */
export type Freedom = 'together' | 'turning' | 'apart';

/** A residual of this part of the light, or more, explains nothing. */
const LOST_POINT = 0.2;

const unexplainedOf = (misfit: number, seen: Float64Array, scale: Float64Array): number =>
  misfit / Math.max(1e-9, medianSize(seen.map((value, i) => value * scale[i]!)));

const lostOf = (residual: Float64Array): number => {
  let sum = 0;
  for (const value of residual) sum += Math.min(1, (value / LOST_POINT) ** 2);
  return sum / Math.max(1, residual.length);
};

type Best = Pick<Refined, 'poses' | 'misfit' | 'power'> & {residual: Float64Array};

/** How far from the face ellipse the head still counts, in radii. */
const REACH = 1.1;
/** What is expected of the head's turn (radians), its scale, and a light's shift against the others (radii). */
const TURN_SIGMA = 0.035;
const SCALE_SIGMA = 0.025;
const APART_SIGMA = 0.06;
/** Neighbouring points see the same mismatch, so that a tenth of them counts as independent. */
const ALIKE = 10;

type Sampled = {values: Float64Array[]; slopesX: Float64Array[]; slopesY: Float64Array[]};

const sampled = (layers: Layers, poses: readonly Pose[], points: Points): Sampled => {
  const make = (): Float64Array[] => layers.planes.map(() => new Float64Array(points.xs.length));
  const out: Sampled = {values: make(), slopesX: make(), slopesY: make()};
  for (let k = 0; k < layers.planes.length; k++) {
    sampleLayer(layers, k, placementOf(poses[k]!), points, out.values[k]!, out.slopesX[k]!, out.slopesY[k]!);
  }
  return out;
};

const sampleLayer = (
  {width, height, planes}: Layers,
  k: number,
  p: Placement,
  {xs, ys}: Points,
  values: Float64Array,
  slopesX: Float64Array,
  slopesY: Float64Array,
): void => {
  const plane = planes[k]!;
  for (let i = 0; i < xs.length; i++) {
    const x = p.ax * xs[i]! + p.bx * ys[i]! + p.cx;
    const y = p.ay * xs[i]! + p.by * ys[i]! + p.cy;
    if (!(x >= 1 && y >= 1 && x < width - 2 && y < height - 2)) {
      values[i] = sampleAt(plane, width, height, x, y);
      slopesX[i] = 0.5 * (sampleAt(plane, width, height, x + 1, y) - sampleAt(plane, width, height, x - 1, y));
      slopesY[i] = 0.5 * (sampleAt(plane, width, height, x, y + 1) - sampleAt(plane, width, height, x, y - 1));
      continue;
    }
    // Clear of the edge all of these share their neighbours and their place between them.
    const x0 = x | 0;
    const y0 = y | 0;
    const fx = x - x0;
    const fy = y - y0;
    const at = y0 * width + x0;
    const below = at + width;
    const left = plane[at]!;
    const right = plane[at + 1]!;
    const belowLeft = plane[below]!;
    const belowRight = plane[below + 1]!;
    const top = left + fx * (right - left);
    const bottom = belowLeft + fx * (belowRight - belowLeft);
    values[i] = top + fy * (bottom - top);
    const topSlope = (1 - fx) * (right - plane[at - 1]!) + fx * (plane[at + 2]! - left);
    const bottomSlope = (1 - fx) * (belowRight - plane[below - 1]!) + fx * (plane[below + 2]! - belowLeft);
    slopesX[i] = 0.5 * ((1 - fy) * topSlope + fy * bottomSlope);
    const above = at - width;
    const beneath = below + width;
    const over = plane[above]! + fx * (plane[above + 1]! - plane[above]!);
    const under = plane[beneath]! + fx * (plane[beneath + 1]! - plane[beneath]!);
    slopesY[i] = 0.5 * ((1 - fy) * (bottom - over) + fy * (under - top));
  }
};

type Powers = {power: Float64Array; residual: Float64Array; weights: Float64Array; misfit: number};

/** Powers of the layers for given samples, robustly: trail and clipped pixels lose their say. */
const powers = (values: readonly Float64Array[], seen: Float64Array, scale: Float64Array): Powers => {
  const n = values.length;
  const weights = new Float64Array(seen.length).fill(1);
  const residual = new Float64Array(seen.length);
  let power = new Float64Array(n);
  let misfit = 0;
  for (let round = 0; round < 4; round++) {
    const gram = new Float64Array(n * n);
    const moment = new Float64Array(n);
    for (let i = 0; i < seen.length; i++) {
      const w = weights[i]! * scale[i]! * scale[i]!;
      if (w === 0) continue;
      for (let k = 0; k < n; k++) {
        const wk = w * values[k]![i]!;
        moment[k] = moment[k]! + wk * seen[i]!;
        for (let j = 0; j <= k; j++) gram[k * n + j] = gram[k * n + j]! + wk * values[j]![i]!;
      }
    }
    for (let k = 0; k < n; k++) for (let j = 0; j < k; j++) gram[j * n + k] = gram[k * n + j]!;
    power = Float64Array.from(nonNegativeLeastSquares(gram, moment));
    for (let i = 0; i < seen.length; i++) {
      let model = 0;
      for (let k = 0; k < n; k++) model += power[k]! * values[k]![i]!;
      residual[i] = (model - seen[i]!) * scale[i]!;
    }
    misfit = medianSize(residual);
    const sigma = Math.max(0.02, MAD_TO_SIGMA * misfit);
    for (let i = 0; i < seen.length; i++) weights[i] = biweight(residual[i]!, sigma);
  }
  return {power, residual, weights, misfit};
};

/** The frame's values at some points, and what a difference is worth there: less where there is more light. */
const seenAt = ({values, light}: FrameLight, {xs, ys}: Points, width: number) => {
  const seen = new Float64Array(xs.length);
  const scale = new Float64Array(xs.length);
  for (let i = 0; i < xs.length; i++) {
    const at = ys[i]! * width + xs[i]!;
    seen[i] = values[at]!;
    scale[i] = Math.abs(light[at]!);
  }
  const brightness = medianOf(scale);
  for (let i = 0; i < scale.length; i++) scale[i] = 1 / (0.3 * Math.max(brightness, 0.003) + scale[i]!);
  return {seen, scale};
};

const clamp = (value: number, limit: number): number => Math.max(-limit, Math.min(limit, value));

/**
 * Refines poses by least squares on the head's luminance (Lucas and Kanade 1981), with the lights' powers fitted beside
 * them and outliers weighted down.
 * @param starts one pose for each layer
 * @param rounds how many steps at most
 * @param count about how many points of the head are looked at
 */
export const refinePose = (
  layers: Layers,
  frame: FrameLight,
  face: PixelEllipse,
  starts: readonly Pose[],
  rounds: number,
  freedom: Freedom,
  count: number,
): Refined => {
  const {width, height, planes} = layers;
  const n = planes.length;
  const first = starts[0]!;
  const moved = {...face, cx: face.cx + first.dx, cy: face.cy + first.dy};
  const points = headPoints(moved, width, height, REACH, count);
  const {xs, ys} = points;
  const {seen, scale} = seenAt(frame, points, width);
  const shifts = freedom === 'apart' ? n : 1;
  const turning = freedom !== 'together';
  const terms = 2 * shifts + (turning ? 2 : 0);
  let poses = [...starts];
  let best: Best | null = null;
  let last = rounds;
  for (let round = 0; round <= last; round++) {
    const {values, slopesX, slopesY} = sampled(layers, poses, points);
    const {power, residual, weights, misfit} = powers(values, seen, scale);
    if (!best || misfit < best.misfit) best = {poses, misfit, power, residual};
    if (round === last) break;
    const {turn, scale: size} = poses[0]!;
    const cos = Math.cos(turn) / size;
    const sin = Math.sin(turn) / size;
    const normal = new Float64Array(terms * terms);
    const moment = new Float64Array(terms);
    const row = new Float64Array(terms);
    let squares = 0;
    let weightSum = 0;
    for (let i = 0; i < xs.length; i++) {
      const w = weights[i]!;
      if (w === 0) continue;
      const s = scale[i]!;
      row.fill(0);
      for (let k = 0; k < n; k++) {
        const gx = power[k]! * slopesX[k]![i]! * s;
        const gy = power[k]! * slopesY[k]![i]! * s;
        if (gx === 0 && gy === 0) continue;
        const at = shifts === 1 ? 0 : 2 * k;
        row[at] = row[at]! - (gx * cos - gy * sin);
        row[at + 1] = row[at + 1]! - (gx * sin + gy * cos);
        if (turning) {
          const pose = poses[k]!;
          const qx = xs[i]! - pose.centre.x - pose.dx;
          const qy = ys[i]! - pose.centre.y - pose.dy;
          const vx = cos * qx + sin * qy;
          const vy = cos * qy - sin * qx;
          row[terms - 2] = row[terms - 2]! + gx * vy - gy * vx;
          row[terms - 1] = row[terms - 1]! - (gx * vx + gy * vy) / size;
        }
      }
      for (let a = 0; a < terms; a++) {
        const wa = w * row[a]!;
        if (wa === 0) continue;
        moment[a] = moment[a]! - wa * residual[i]!;
        for (let b = 0; b <= a; b++) normal[a * terms + b] = normal[a * terms + b]! + wa * row[b]!;
      }
      squares += w * residual[i]! ** 2;
      weightSum += w;
    }
    if (weightSum === 0) break;
    const noise = (ALIKE * squares) / weightSum;
    const hold = (term: number, value: number, sigma: number): void => {
      normal[term * terms + term] = normal[term * terms + term]! + noise / sigma ** 2;
      moment[term] = moment[term]! - (noise * value) / sigma ** 2;
    };
    if (turning) {
      hold(terms - 2, turn, TURN_SIGMA);
      hold(terms - 1, size - 1, SCALE_SIGMA);
    }
    if (shifts > 1) {
      for (let k = 0; k < n; k++) {
        hold(2 * k, poses[k]!.dx - starts[k]!.dx, APART_SIGMA * face.ry);
        hold(2 * k + 1, poses[k]!.dy - starts[k]!.dy, APART_SIGMA * face.ry);
      }
    }
    for (let a = 0; a < terms; a++) {
      normal[a * terms + a] = normal[a * terms + a]! * 1.001 + 1e-9;
      for (let b = 0; b < a; b++) normal[b * terms + a] = normal[a * terms + b]!;
    }
    const change = solveSymmetric(normal, moment);
    const turnBy = turning ? clamp(change[terms - 2]!, 0.05) : 0;
    const growBy = turning ? Math.exp(clamp(change[terms - 1]!, 0.03)) : 1;
    poses = poses.map((pose, k) => {
      const at = shifts === 1 ? 0 : 2 * k;
      return {
        centre: pose.centre,
        dx: pose.dx + clamp(change[at]!, 0.1 * face.ry),
        dy: pose.dy + clamp(change[at + 1]!, 0.1 * face.ry),
        turn: pose.turn + turnBy,
        scale: pose.scale * growBy,
      };
    });
    const moves = change.subarray(0, 2 * shifts).every(value => Math.abs(value) < 0.02);
    if (moves && Math.abs(turnBy) * face.ry < 0.02 && Math.abs(growBy - 1) * face.ry < 0.02) last = round + 1;
  }
  const {residual, ...found} = best!;
  return {...found, lost: lostOf(residual), unexplained: unexplainedOf(found.misfit, seen, scale)};
};
