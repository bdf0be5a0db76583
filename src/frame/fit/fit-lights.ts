import {CURVE_TERMS} from '../curve/basis.js';
import type {CurveBelief} from '../curve/belief.js';
import {curveSlope, curveTable, lightAt, type ToneTable} from '../curve/tone-curve.js';
import {solveSymmetric} from '../linear-solve.js';
import {type AddedLight, type FitData, fitData, type LinearFit, linearFit, noiseScale, WORTH} from './light-model.js';
import type {Samples} from './samples.js';

/*
 * The frame's light is the dark plate's, plus each light's own times its power, plus some added light, seen through a
 * tone curve that isn't known. For a known curve the powers are a robust non-negative least squares fit; the curve's
 * coordinates are then moved by Gauss-Newton steps on everything together, held by what curves usually are. Residuals
 * are in code values, so that no curve looks better just for making everything small.
 */

export type LightFit = {
  /** Each light's power against its plate, linear, ≥ 0. */
  power: Float64Array;
  /** How much of each added light there is. */
  added: Float64Array;
  /** Coordinates of the tone curve. */
  z: number[];
  curve: ToneTable;
  /** Robust spread of the residual, in units of its expected noise. */
  spread: number;
  /** Frame less model in units of expected noise, three channels after one another. */
  residual: Float64Array;
};

const normalLoss = (residual: number, sigma: number): number => {
  const u = residual / (4.685 * sigma);
  return Math.abs(u) >= 1 ? 1 : 1 - (1 - u * u) ** 3;
};

/** Misfit of data and curve together: Tukey's loss per sample, and the curve's distance from what is usual. */
const costOf = (data: FitData, fit: LinearFit, z: readonly number[], belief: CurveBelief, sigma: number): number => {
  let loss = 0;
  let count = 0;
  for (let i = 0; i < fit.residual.length; i++) {
    if (!data.usable[i]) continue;
    loss += normalLoss(fit.residual[i]!, sigma);
    count++;
  }
  // Near 0, the loss is 3·(r / 4.685 σ)²; half of a squared residual in σ is what a coordinate's own half square is held to.
  const perSample = (4.685 ** 2 / 6) * (loss / Math.max(1, count));
  const n = data.samples.lights.length;
  const added = data.added.reduce((sum, {sigma}, k) => sum + (fit.solution[n + k]! / sigma) ** 2, 0);
  const prior = z.reduce((sum, value, term) => sum + ((value - belief.z[term]!) / belief.sigma) ** 2, 0);
  return WORTH * perSample + (prior + added) / 2;
};

/** The step in the curve's coordinates that would fit best if everything were linear. */
const curveStep = (data: FitData, fit: LinearFit, table: ToneTable, z: readonly number[], belief: CurveBelief) => {
  const {frame, dark, lights} = data.samples;
  const n = lights.length;
  const linear = n + data.added.length;
  const size = linear + CURVE_TERMS;
  const slopes = Array.from({length: CURVE_TERMS}, (_, term) => curveSlope(table, term));
  const gram = new Float64Array(size * size);
  const moment = new Float64Array(size);
  const row = new Float64Array(size);
  let count = 0;
  for (let i = 0; i < frame.length; i++) {
    const w = fit.weights[i]!;
    if (data.usable[i]) count++;
    if (w === 0) continue;
    const s = noiseScale(data, table, i);
    const darkLight = lightAt(table, dark[i]!);
    for (let k = 0; k < n; k++) row[k] = fit.solution[k]! > 0 ? (lightAt(table, lights[k]![i]!) - darkLight) * s : 0;
    for (let k = 0; k < data.added.length; k++)
      row[n + k] = fit.solution[n + k]! > 0 ? data.added[k]!.shape[i]! * s : 0;
    const low = Math.min(254, frame[i]! | 0);
    const rise = Math.max(1e-7, table[low + 1]! - table[low]!);
    for (let term = 0; term < CURVE_TERMS; term++) {
      const slope = slopes[term]!;
      const darkSlope = lightAt(slope, dark[i]!);
      let change = darkSlope - lightAt(slope, frame[i]!);
      for (let k = 0; k < n; k++) change += fit.solution[k]! * (lightAt(slope, lights[k]![i]!) - darkSlope);
      // A curve that is steeper here also makes the same difference in light a larger one in code values.
      row[linear + term] = change * s + (fit.residual[i]! * (slope[low + 1]! - slope[low]!)) / rise;
    }
    for (let a = 0; a < size; a++) {
      const wa = w * row[a]!;
      if (wa === 0) continue;
      moment[a] = moment[a]! + wa * fit.residual[i]!;
      for (let b = 0; b <= a; b++) gram[a * size + b] = gram[a * size + b]! + wa * row[b]!;
    }
  }
  const worth = WORTH / Math.max(1, count) / fit.spread ** 2;
  for (let a = 0; a < size; a++) {
    moment[a] = moment[a]! * worth;
    for (let b = 0; b <= a; b++) {
      gram[a * size + b] = gram[a * size + b]! * worth;
      gram[b * size + a] = gram[a * size + b]!;
    }
  }
  for (let a = 0; a < linear; a++) gram[a * size + a] = gram[a * size + a]! * 1.0001 + 1e-9;
  data.added.forEach(({sigma}, k) => {
    const at = n + k;
    gram[at * size + at] = gram[at * size + at]! + 1 / sigma ** 2;
    moment[at] = moment[at]! - fit.solution[at]! / sigma ** 2;
  });
  for (let term = 0; term < CURVE_TERMS; term++) {
    const at = linear + term;
    gram[at * size + at] = gram[at * size + at]! + 1 / belief.sigma ** 2;
    moment[at] = moment[at]! - (z[term]! - belief.z[term]!) / belief.sigma ** 2;
  }
  return [...solveSymmetric(gram, moment).slice(linear)].map(step => Math.max(-1, Math.min(1, step)));
};

/**
 * Fits powers and tone curve.
 * @param added light that may have been added to the plates'
 * @param steps how many Gauss-Newton steps the curve may take
 */
export const fitLights = (
  samples: Samples,
  belief: CurveBelief,
  added: readonly AddedLight[],
  steps: number,
): LightFit => {
  const data = fitData(samples, added);
  let z = [...belief.z];
  let table = curveTable(z);
  let fit = linearFit(data, table, null, 6);
  if (belief.sigma > 0) {
    for (let step = 0; step < steps; step++) {
      const sigma = fit.spread;
      const before = costOf(data, fit, z, belief, sigma);
      const change = curveStep(data, fit, table, z, belief);
      let length = 1;
      let better = false;
      while (!better && length > 0.1) {
        const nextZ = z.map((value, term) => value + length * change[term]!);
        const nextTable = curveTable(nextZ);
        const next = linearFit(data, nextTable, fit.weights, 2);
        better = costOf(data, next, nextZ, belief, sigma) < before;
        if (better) [z, table, fit] = [nextZ, nextTable, next];
        length /= 2.5;
      }
      if (!better || Math.max(...change.map(Math.abs)) < 0.02) break;
    }
  }
  const n = samples.lights.length;
  return {
    power: fit.solution.slice(0, n),
    added: fit.solution.slice(n),
    z,
    curve: table,
    spread: fit.spread,
    residual: fit.residual,
  };
};
