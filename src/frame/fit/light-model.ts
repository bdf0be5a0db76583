import {lightAt, type ToneTable} from '../curve/tone-curve.js';
import {biweight, medianOf} from '../robust.js';
import {nonNegativeLeastSquares} from './nnls.js';
import type {Samples} from './samples.js';

/** Light that may have been added where it wasn't on the plates: its shape over the samples, and how much is likely. */
export type AddedLight = {shape: Float64Array; sigma: number};

/** A fit's data, with which of its samples may be used. */
export type FitData = {samples: Samples; usable: Uint8Array; added: readonly AddedLight[]};

/** Code values above this may be clipped. */
const CLIPPED = 250;
/** Noise of a smoothed code value, and the part of it by which a light's model is never better than. */
const CODE_NOISE = 1;
const PART_NOISE = 0.012;
/** Registration's error in pixels. */
const PLACE_NOISE = 0.25;
/** No fit is trusted to be better than its expected noise by more than this. */
const LEAST_SPREAD = 0.7;

/** How many independent samples all of them together are worth: neighbours err alike. */
export const WORTH = 150;

export const fitData = (samples: Samples, added: readonly AddedLight[]): FitData => {
  const usable = new Uint8Array(samples.frame.length);
  for (let i = 0; i < usable.length; i++) {
    let most = samples.frame[i]!;
    for (const light of samples.lights) most = Math.max(most, light[i]!);
    usable[i] = most < CLIPPED ? 1 : 0;
  }
  return {samples, usable, added};
};

/** From a difference in light to a difference in units of the code value's expected noise, at one sample. */
export const noiseScale = (data: FitData, table: ToneTable, i: number): number => {
  const code = data.samples.frame[i]!;
  const low = Math.min(254, code | 0);
  const slope = Math.max(1e-7, table[low + 1]! - table[low]!);
  return 1 / (slope * Math.hypot(CODE_NOISE, PART_NOISE * code, PLACE_NOISE * data.samples.roughness[i]!));
};

/** Solution of the linear part: the lights' powers, then how much of each added light there is. */
export type LinearFit = {
  solution: Float64Array;
  /** Frame less model, in expected noise. */
  residual: Float64Array;
  weights: Float64Array;
  /** Robust σ of the residual. */
  spread: number;
};

export const residualsOf = (data: FitData, table: ToneTable, solution: Float64Array, into: Float64Array): void => {
  const {frame, dark, lights} = data.samples;
  const n = lights.length;
  for (let i = 0; i < frame.length; i++) {
    if (!data.usable[i]) continue;
    const darkLight = lightAt(table, dark[i]!);
    let model = darkLight;
    for (let k = 0; k < n; k++) model += solution[k]! * (lightAt(table, lights[k]![i]!) - darkLight);
    for (let k = 0; k < data.added.length; k++) model += solution[n + k]! * data.added[k]!.shape[i]!;
    into[i] = (lightAt(table, frame[i]!) - model) * noiseScale(data, table, i);
  }
};

/** Robust σ of the residuals of usable samples. */
const spreadOf = (data: FitData, residual: Float64Array): number => {
  const sizes: number[] = [];
  for (let i = 0; i < residual.length; i++) if (data.usable[i]) sizes.push(Math.abs(residual[i]!));
  return Math.max(LEAST_SPREAD, 1.4826 * medianOf(sizes));
};

/**
 * Powers (and added light) for a known curve: non-negative least squares, iteratively reweighted by Tukey's biweight.
 * @param weights to begin with, one a sample; null counts every usable sample alike
 */
export const linearFit = (data: FitData, table: ToneTable, weights: Float64Array | null, rounds: number): LinearFit => {
  const {frame, dark, lights} = data.samples;
  const n = lights.length;
  const size = n + data.added.length;
  const fit: LinearFit = {
    solution: new Float64Array(size),
    residual: new Float64Array(frame.length),
    weights: weights ? Float64Array.from(weights) : Float64Array.from(data.usable),
    spread: 1,
  };
  const row = new Float64Array(size);
  for (let round = 0; round < rounds; round++) {
    const gram = new Float64Array(size * size);
    const moment = new Float64Array(size);
    let weightSum = 0;
    for (let i = 0; i < frame.length; i++) {
      const w = fit.weights[i]!;
      if (w === 0) continue;
      weightSum += w;
      const s = noiseScale(data, table, i);
      const darkLight = lightAt(table, dark[i]!);
      for (let k = 0; k < n; k++) row[k] = (lightAt(table, lights[k]![i]!) - darkLight) * s;
      for (let k = 0; k < data.added.length; k++) row[n + k] = data.added[k]!.shape[i]! * s;
      const target = (lightAt(table, frame[i]!) - darkLight) * s;
      for (let a = 0; a < size; a++) {
        const wa = w * row[a]!;
        if (wa === 0) continue;
        moment[a] = moment[a]! + wa * target;
        for (let b = 0; b <= a; b++) gram[a * size + b] = gram[a * size + b]! + wa * row[b]!;
      }
    }
    data.added.forEach(({sigma}, k) => {
      const at = (n + k) * (size + 1);
      gram[at] = gram[at]! + ((weightSum / WORTH) * fit.spread ** 2) / sigma ** 2;
    });
    for (let a = 0; a < size; a++) for (let b = 0; b < a; b++) gram[b * size + a] = gram[a * size + b]!;
    fit.solution = Float64Array.from(nonNegativeLeastSquares(gram, moment));
    residualsOf(data, table, fit.solution, fit.residual);
    fit.spread = spreadOf(data, fit.residual);
    for (let i = 0; i < frame.length; i++) fit.weights[i] = data.usable[i] ? biweight(fit.residual[i]!, fit.spread) : 0;
  }
  return fit;
};
