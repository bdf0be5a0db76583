import {lightAt, type ToneTable} from '../curve/tone-curve.js';
import {biweight, MAD_TO_SIGMA, medianOf} from '../robust.js';
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

/** A fit's data through one tone curve: linear light, and what a difference in it is worth. */
export type SeenThrough = {
  /** Frame less dark plate. */
  target: Float64Array;
  /** Each light's own light. */
  lights: Float64Array[];
  /** From a difference in light to one in units of the code value's expected noise. */
  scale: Float64Array;
};

export const seeThrough = ({samples, usable}: FitData, table: ToneTable): SeenThrough => {
  const {frame, dark, lights, roughness, doubt} = samples;
  const target = new Float64Array(frame.length);
  const scale = new Float64Array(frame.length);
  const own = lights.map(() => new Float64Array(frame.length));
  for (let i = 0; i < frame.length; i++) {
    if (!usable[i]) continue;
    const code = frame[i]!;
    const low = Math.min(254, code | 0);
    const slope = Math.max(1e-7, table[low + 1]! - table[low]!);
    const part = PART_NOISE * code;
    const place = PLACE_NOISE * roughness[i]!;
    scale[i] = 1 / (slope * doubt[i]! * Math.sqrt(CODE_NOISE * CODE_NOISE + part * part + place * place));
    const darkLight = lightAt(table, dark[i]!);
    target[i] = lightAt(table, code) - darkLight;
    for (let k = 0; k < own.length; k++) own[k]![i] = lightAt(table, lights[k]![i]!) - darkLight;
  }
  return {target, lights: own, scale};
};

/** Solution of the linear part: the lights' powers, then how much of each added light there is. */
export type LinearFit = {
  solution: Float64Array;
  /** Frame less model, in expected noise. */
  residual: Float64Array;
  weights: Float64Array;
  /** Robust σ of the residual, for each set of samples: what fits easily must not make the rest outliers. */
  spreads: Float64Array;
};

const residualsOf = (data: FitData, seen: SeenThrough, solution: Float64Array, into: Float64Array): void => {
  const n = seen.lights.length;
  for (let i = 0; i < into.length; i++) into[i] = seen.target[i]!;
  seen.lights.forEach((light, k) => {
    const power = solution[k]!;
    if (power > 0) for (let i = 0; i < into.length; i++) into[i] = into[i]! - power * light[i]!;
  });
  data.added.forEach(({shape}, k) => {
    const amount = solution[n + k]!;
    if (amount > 0) for (let i = 0; i < into.length; i++) into[i] = into[i]! - amount * shape[i]!;
  });
  for (let i = 0; i < into.length; i++) into[i] = into[i]! * seen.scale[i]!;
};

/** Robust σ of the residuals of usable samples, for each set. */
const spreadsOf = (data: FitData, residual: Float64Array): Float64Array => {
  const {group, count} = data.samples;
  const sizes: number[][] = [[], [], []];
  for (let i = 0; i < residual.length; i++) if (data.usable[i]) sizes[group[i % count]!]!.push(Math.abs(residual[i]!));
  return Float64Array.from(sizes, values =>
    values.length === 0 ? LEAST_SPREAD : Math.max(LEAST_SPREAD, MAD_TO_SIGMA * medianOf(values)),
  );
};

/** The set's spread at one sample. */
export const spreadAt = (data: FitData, spreads: Float64Array, i: number): number =>
  spreads[data.samples.group[i % data.samples.count]!]!;

/**
 * Powers (and added light) for a known curve: non-negative least squares, iteratively reweighted by Tukey's biweight.
 * @param weights to begin with, one a sample; null counts every usable sample alike
 */
export const linearFit = (
  data: FitData,
  seen: SeenThrough,
  weights: Float64Array | null,
  rounds: number,
): LinearFit => {
  const {target, scale, lights} = seen;
  const n = lights.length;
  const size = n + data.added.length;
  const columns = [...lights, ...data.added.map(({shape}) => shape)];
  const fit: LinearFit = {
    solution: new Float64Array(size),
    residual: new Float64Array(target.length),
    weights: weights ? Float64Array.from(weights) : Float64Array.from(data.usable),
    spreads: new Float64Array(3).fill(1),
  };
  const row = new Float64Array(size);
  const there = new Int32Array(size);
  for (let round = 0; round < rounds; round++) {
    const gram = new Float64Array(size * size);
    const moment = new Float64Array(size);
    let weightSum = 0;
    for (let i = 0; i < target.length; i++) {
      const w = fit.weights[i]!;
      if (w === 0) continue;
      weightSum += w;
      const worth = w * (scale[i]! / spreadAt(data, fit.spreads, i)) ** 2;
      let count = 0;
      for (let k = 0; k < size; k++) {
        const value = columns[k]![i]!;
        if (value === 0) continue;
        row[count] = value;
        there[count++] = k;
      }
      for (let a = 0; a < count; a++) {
        const wa = worth * row[a]!;
        const at = there[a]!;
        moment[at] = moment[at]! + wa * target[i]!;
        for (let b = 0; b <= a; b++) gram[at * size + there[b]!] = gram[at * size + there[b]!]! + wa * row[b]!;
      }
    }
    data.added.forEach(({sigma}, k) => {
      const at = (n + k) * (size + 1);
      gram[at] = gram[at]! + weightSum / WORTH / sigma ** 2;
    });
    for (let a = 0; a < size; a++) for (let b = 0; b < a; b++) gram[b * size + a] = gram[a * size + b]!;
    fit.solution = Float64Array.from(nonNegativeLeastSquares(gram, moment));
    residualsOf(data, seen, fit.solution, fit.residual);
    fit.spreads = spreadsOf(data, fit.residual);
    for (let i = 0; i < target.length; i++) {
      fit.weights[i] = data.usable[i] ? biweight(fit.residual[i]!, spreadAt(data, fit.spreads, i)) : 0;
    }
  }
  return fit;
};
