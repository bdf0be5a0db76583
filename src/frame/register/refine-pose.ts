import {sampleAt} from '../bilinear.js';
import {nonNegativeLeastSquares} from '../fit/nnls.js';
import {solveSymmetric} from '../linear-solve.js';
import type {PixelEllipse} from '../pixel-ellipse.js';
import {radiiSquared} from '../pixel-ellipse.js';
import {biweight, medianOf} from '../robust.js';
import {type Pose, placementOf} from './pose.js';

/** Planes of linear luminance at one size. */
export type Layers = {width: number; height: number; planes: Float32Array[]};

export type Refined = {
  pose: Pose;
  /** Robust misfit: median of the absolute residual relative to the light. */
  misfit: number;
  power: Float64Array;
};

/** Points of the head that are looked at. */
const POINTS = 2500;
/** How far from the face ellipse the head still counts, in radii. */
const REACH = 1.1;
/** Spread that is expected of the head's turn (radians) and scale; keeps a badly seen head upright. */
const TURN_SIGMA = 0.035;
const SCALE_SIGMA = 0.025;

export const headPoints = (face: PixelEllipse, width: number, height: number, reach: number, count: number) => {
  const area = Math.PI * face.rx * face.ry * reach * reach;
  const step = Math.max(1, Math.sqrt(area / count));
  const xs: number[] = [];
  const ys: number[] = [];
  for (let y = face.cy - reach * face.ry; y <= face.cy + reach * face.ry; y += step) {
    for (let x = face.cx - reach * face.rx; x <= face.cx + reach * face.rx; x += step) {
      const px = Math.round(x);
      const py = Math.round(y);
      if (px < 1 || py < 1 || px > width - 2 || py > height - 2) continue;
      if (radiiSquared(face, px, py) > reach * reach) continue;
      xs.push(px);
      ys.push(py);
    }
  }
  return {xs: Float64Array.from(xs), ys: Float64Array.from(ys)};
};

type Sampled = {values: Float64Array[]; slopesX: Float64Array[]; slopesY: Float64Array[]};

const sampled = (layers: Layers, pose: Pose, xs: Float64Array, ys: Float64Array): Sampled => {
  const {width, height, planes} = layers;
  const p = placementOf(pose);
  const values = planes.map(() => new Float64Array(xs.length));
  const slopesX = planes.map(() => new Float64Array(xs.length));
  const slopesY = planes.map(() => new Float64Array(xs.length));
  for (let i = 0; i < xs.length; i++) {
    const x = p.ax * xs[i]! + p.bx * ys[i]! + p.cx;
    const y = p.ay * xs[i]! + p.by * ys[i]! + p.cy;
    planes.forEach((plane, k) => {
      values[k]![i] = sampleAt(plane, width, height, x, y);
      slopesX[k]![i] = 0.5 * (sampleAt(plane, width, height, x + 1, y) - sampleAt(plane, width, height, x - 1, y));
      slopesY[k]![i] = 0.5 * (sampleAt(plane, width, height, x, y + 1) - sampleAt(plane, width, height, x, y - 1));
    });
  }
  return {values, slopesX, slopesY};
};

/** Powers of the layers for given samples, robustly: trail and clipped pixels lose their say. */
const powers = (values: Float64Array[], seen: Float64Array, scale: Float64Array) => {
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
    misfit = medianOf(residual.map(Math.abs));
    const sigma = Math.max(0.02, 1.4826 * misfit);
    for (let i = 0; i < seen.length; i++) weights[i] = biweight(residual[i]!, sigma);
  }
  return {power, residual, weights, misfit};
};

/**
 * Refines a pose by least squares on the head's luminance (Lucas and Kanade 1981), with the lights' powers fitted beside
 * it and outliers weighted down.
 * @param layers each light's own light on the plates
 * @param frame linear luminance of the frame less that of the dark plate, at the same size
 * @param rounds how many steps at most
 */
export const refinePose = (
  layers: Layers,
  frame: Float32Array,
  face: PixelEllipse,
  start: Pose,
  rounds: number,
  turning: boolean,
): Refined => {
  const {width, height, planes} = layers;
  const moved = {...face, cx: face.cx + start.dx, cy: face.cy + start.dy};
  const {xs, ys} = headPoints(moved, width, height, REACH, POINTS);
  const seen = Float64Array.from(xs, (x, i) => frame[ys[i]! * width + x]!);
  const brightness = medianOf(Float64Array.from(seen, Math.abs));
  const scale = seen.map(value => 1 / (0.3 * Math.max(brightness, 0.003) + Math.abs(value)));
  let pose = start;
  let best: Refined | null = null;
  for (let round = 0; round <= rounds; round++) {
    const {values, slopesX, slopesY} = sampled(layers, pose, xs, ys);
    const {power, residual, weights, misfit} = powers(values, seen, scale);
    if (!best || misfit < best.misfit) best = {pose, misfit, power};
    if (round === rounds) break;
    const terms = turning ? 4 : 2;
    const normal = new Float64Array(terms * terms);
    const moment = new Float64Array(terms);
    const cos = Math.cos(pose.turn) / pose.scale;
    const sin = Math.sin(pose.turn) / pose.scale;
    const row = new Float64Array(terms);
    const p = placementOf(pose);
    let sigma2 = 0;
    let weightSum = 0;
    for (let i = 0; i < xs.length; i++) {
      if (weights[i] === 0) continue;
      let gx = 0;
      let gy = 0;
      for (let k = 0; k < planes.length; k++) {
        gx += power[k]! * slopesX[k]![i]!;
        gy += power[k]! * slopesY[k]![i]!;
      }
      const s = scale[i]!;
      row[0] = -(gx * cos - gy * sin) * s;
      row[1] = -(gx * sin + gy * cos) * s;
      if (turning) {
        const vx = p.ax * xs[i]! + p.bx * ys[i]! + p.cx - pose.centre.x;
        const vy = p.ay * xs[i]! + p.by * ys[i]! + p.cy - pose.centre.y;
        row[2] = (gx * vy - gy * vx) * s;
        row[3] = (-(gx * vx + gy * vy) / pose.scale) * s;
      }
      const w = weights[i]!;
      for (let a = 0; a < terms; a++) {
        moment[a] = moment[a]! - w * row[a]! * residual[i]!;
        for (let b = 0; b <= a; b++) normal[a * terms + b] = normal[a * terms + b]! + w * row[a]! * row[b]!;
      }
      sigma2 += w * residual[i]! ** 2;
      weightSum += w;
    }
    if (weightSum === 0) break;
    const noise = sigma2 / weightSum;
    // Neighbouring points see the same mismatch, so that a tenth of them counts as independent.
    if (turning) {
      normal[10] = normal[10]! + (10 * noise) / TURN_SIGMA ** 2;
      moment[2] = moment[2]! - (10 * noise * pose.turn) / TURN_SIGMA ** 2;
      normal[15] = normal[15]! + (10 * noise) / SCALE_SIGMA ** 2;
      moment[3] = moment[3]! - (10 * noise * (pose.scale - 1)) / SCALE_SIGMA ** 2;
    }
    for (let a = 0; a < terms; a++) {
      normal[a * terms + a] = normal[a * terms + a]! * 1.001 + 1e-9;
      for (let b = 0; b < a; b++) normal[b * terms + a] = normal[a * terms + b]!;
    }
    const change = solveSymmetric(normal, moment);
    const limit = 0.1 * face.ry;
    pose = {
      centre: pose.centre,
      dx: pose.dx + Math.max(-limit, Math.min(limit, change[0]!)),
      dy: pose.dy + Math.max(-limit, Math.min(limit, change[1]!)),
      turn: pose.turn + Math.max(-0.05, Math.min(0.05, change[2] ?? 0)),
      scale: pose.scale * Math.exp(Math.max(-0.03, Math.min(0.03, change[3] ?? 0))),
    };
    if (Math.hypot(change[0]!, change[1]!) < 0.01 && Math.abs(change[2] ?? 0) * face.ry < 0.01) {
      rounds = round + 1;
    }
  }
  return best!;
};
