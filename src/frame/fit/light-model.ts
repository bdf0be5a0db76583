import {lightAt, type ToneTable} from '../curve/tone-curve.js';
import {biweight, MAD_TO_SIGMA, medianOf} from '../robust.js';
import {type AddedLight, type AddedRows, addedRows} from './added-rows.js';
import {nonNegativeLeastSquares} from './nnls.js';
import {addPoint, mirrored, type NormalEquations, normalEquations, sharedFor} from './normal-equations.js';
import type {Samples} from './samples.js';

/** A fit's data, with which of its samples may be used. */
export type FitData = {
  samples: Samples;
  usable: Uint8Array;
  /** Which set each sample is of. */
  sets: Uint8Array;
  added: readonly AddedLight[];
  rows: AddedRows;
  /** How firmly each power is held to its plate's, as 1/σ²; 0: not at all. */
  hold: number;
};

/** Code values above this may be clipped. */
const CLIPPED = 250;
/** Noise of a smoothed code value, and the part of it by which a light's model is never better than. */
const CODE_NOISE = 1;
const PART_NOISE = 0.012;
/** Registration's error in pixels. */
const PLACE_NOISE = 0.25;
/** No fit is trusted to be better than its expected noise by more than this. */
const LEAST_SPREAD = 0.7;

/** Rounds that change no power by more than this part are enough. */
const SETTLED = 0.003;

/** How many independent samples all of them together are worth: neighbours err alike. */
export const WORTH = 150;

export const fitData = (samples: Samples, added: readonly AddedLight[], hold = 0): FitData => {
  const usable = new Uint8Array(samples.frame.length);
  for (let i = 0; i < usable.length; i++) {
    let most = samples.frame[i]!;
    for (const light of samples.lights) most = Math.max(most, light[i]!);
    usable[i] = most < CLIPPED ? 1 : 0;
  }
  const sets = new Uint8Array(usable.length);
  for (let channel = 0; channel < 3; channel++) sets.set(samples.group, channel * samples.count);
  return {samples, usable, sets, added, rows: addedRows(added, samples.reflected), hold};
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

/** Stops by which a power must differ from its plate's to be another setting, or none, and not held to it at all. */
const OTHERWISE = 2;

/** How firmly a light is held to its plate's power, at what was found for it. */
export const holdOn = ({hold}: FitData, power: number): number => {
  if (hold === 0 || power <= 0) return 0;
  const part = Math.log2(power) / OTHERWISE;
  return Math.abs(part) >= 1 ? 0 : hold * (1 - part * part) ** 2;
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

const residualsOf = ({rows, samples}: FitData, seen: SeenThrough, solution: Float64Array, into: Float64Array): void => {
  const n = seen.lights.length;
  const {start, which, values, tintOf, tints, reflected} = rows;
  const {count} = samples;
  for (let i = 0; i < count; i++) {
    let r = 0;
    let g = 0;
    let b = 0;
    for (let at = start[i]!; at < start[i + 1]!; at++) {
      const k = which[at]!;
      const own = solution[n + k]! * values[at]!;
      if (own === 0) continue;
      const tint = 3 * tintOf[k]!;
      r += own * tints[tint]!;
      g += own * tints[tint + 1]!;
      b += own * tints[tint + 2]!;
    }
    into[i] = seen.target[i]! - r * reflected[i]!;
    into[count + i] = seen.target[count + i]! - g * reflected[count + i]!;
    into[2 * count + i] = seen.target[2 * count + i]! - b * reflected[2 * count + i]!;
  }
  for (let k = 0; k < n; k++) {
    const light = seen.lights[k]!;
    const power = solution[k]!;
    if (power > 0) for (let i = 0; i < into.length; i++) into[i] = into[i]! - power * light[i]!;
  }
  for (let i = 0; i < into.length; i++) into[i] = into[i]! * seen.scale[i]!;
};

/** Where each set's residuals are looked at; asked for so often that it is kept. */
let sizes = [0, 1, 2].map(() => new Float64Array(1024));

/** Robust σ of the residuals of usable samples, for each set. */
const spreadsOf = (data: FitData, residual: Float64Array): Float64Array => {
  if (sizes[0]!.length < residual.length) sizes = [0, 1, 2].map(() => new Float64Array(2 * residual.length));
  const counts = [0, 0, 0];
  for (let i = 0; i < residual.length; i++) {
    if (!data.usable[i]) continue;
    const set = data.sets[i]!;
    sizes[set]![counts[set]!++] = Math.abs(residual[i]!);
  }
  return Float64Array.from(sizes, (values, set) =>
    counts[set] === 0 ? LEAST_SPREAD : Math.max(LEAST_SPREAD, MAD_TO_SIGMA * medianOf(values.subarray(0, counts[set]))),
  );
};

/** Weights of the samples as if this were the solution. */
export const weightsAt = (data: FitData, seen: SeenThrough, solution: Float64Array): Float64Array => {
  const residual = new Float64Array(seen.target.length);
  residualsOf(data, seen, solution, residual);
  const spreads = spreadsOf(data, residual);
  return residual.map((value, i) => (data.usable[i] ? biweight(value, spreadAt(data, spreads, i)) : 0));
};

/** The set's spread at one sample. */
export const spreadAt = ({sets}: FitData, spreads: Float64Array, i: number): number => spreads[sets[i]!]!;

/**
 * Normal equations of the linear part, and the sum of the weights.
 * @param weights, spreads: of samples and sets
 * @param powers at which lights are held
 */
const equationsOf = (
  data: FitData,
  seen: SeenThrough,
  weights: Float64Array,
  spreads: Float64Array,
  powers: Float64Array,
): {equations: NormalEquations; weightSum: number} => {
  const {target, scale, lights} = seen;
  const n = lights.length;
  const size = n + data.added.length;
  const {count} = data.samples;
  const own = {count: n, which: Int32Array.from(lights.keys()), values: new Float64Array(3 * n)};
  const there = new Float64Array(3);
  const worth = new Float64Array(3);
  const shared = sharedFor(data.rows, n);
  const equations = normalEquations(size);
  const {gram, moment} = equations;
  let weightSum = 0;
  for (let i = 0; i < count; i++) {
    let ofPoint = 0;
    for (let c = 0, at = i; c < 3; c++, at += count) {
      const w = weights[at]!;
      ofPoint += w;
      worth[c] = w * (scale[at]! / spreadAt(data, spreads, at)) ** 2;
      there[c] = target[at]!;
      for (let k = 0; k < n; k++) own.values[3 * k + c] = lights[k]![at]!;
    }
    if (ofPoint === 0) continue;
    weightSum += ofPoint;
    addPoint(equations, own, data.rows, i, n, null, there, worth, shared);
  }
  data.added.forEach(({sigma}, k) => {
    const at = (n + k) * (size + 1);
    gram[at] = gram[at]! + weightSum / WORTH / sigma ** 2;
  });
  for (let k = 0; k < n; k++) {
    const held = (weightSum / WORTH) * holdOn(data, powers[k]!);
    gram[k * (size + 1)] = gram[k * (size + 1)]! + held;
    moment[k] = moment[k]! + held;
  }
  mirrored(equations);
  return {equations, weightSum};
};

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
  const {target, lights} = seen;
  const fit: LinearFit = {
    solution: new Float64Array(lights.length + data.added.length),
    residual: new Float64Array(target.length),
    weights: weights ? Float64Array.from(weights) : Float64Array.from(data.usable),
    spreads: new Float64Array(3).fill(1),
  };
  for (let round = 0; round < rounds; round++) {
    const {gram, moment} = equationsOf(data, seen, fit.weights, fit.spreads, fit.solution).equations;
    const before = fit.solution;
    fit.solution = Float64Array.from(nonNegativeLeastSquares(gram, moment));
    residualsOf(data, seen, fit.solution, fit.residual);
    fit.spreads = spreadsOf(data, fit.residual);
    for (let i = 0; i < target.length; i++) {
      fit.weights[i] = data.usable[i] ? biweight(fit.residual[i]!, spreadAt(data, fit.spreads, i)) : 0;
    }
    if (fit.solution.every((value, k) => Math.abs(value - before[k]!) <= SETTLED * (0.01 + value))) break;
  }
  return fit;
};
