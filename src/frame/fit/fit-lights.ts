import type {CurveBelief} from '../curve/belief.js';
import {curveTable, powerTable, type ToneTable} from '../curve/tone-curve.js';
import {curveStep} from './curve-step.js';
import {
  type AddedLight,
  type FitData,
  fitData,
  type LinearFit,
  linearFit,
  seeThrough,
  spreadAt,
  WORTH,
} from './light-model.js';
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
  curve: ToneTable;
  /** Whether the curve is a plain power: it is then known down to black. */
  isPower: boolean;
  /** Robust spread of the residual on the head, in units of its expected noise. */
  spread: number;
  /** Frame less model in units of expected noise, three channels after one another. */
  residual: Float64Array;
};

/** Steps shorter than this change nothing worth waiting for. */
const SHORTEST = 0.02;

/** Tukey's loss: 0 for no residual, 1 for an outlier. */
const biweightLoss = (residual: number, sigma: number): number => {
  const u = residual / (4.685 * sigma);
  return Math.abs(u) >= 1 ? 1 : 1 - (1 - u * u) ** 3;
};

/** Misfit of data and added light together. */
const misfitOf = (data: FitData, fit: LinearFit, spreads: Float64Array): number => {
  let loss = 0;
  let count = 0;
  for (let i = 0; i < fit.residual.length; i++) {
    if (!data.usable[i]) continue;
    loss += biweightLoss(fit.residual[i]!, spreadAt(data, spreads, i));
    count++;
  }
  // Near 0 the loss is 3·(r / 4.685 σ)²: scaled to half a squared residual, as a coordinate counts half its square.
  const perSample = (4.685 ** 2 / 6) * (loss / Math.max(1, count));
  const n = data.samples.lights.length;
  const added = data.added.reduce((sum, {sigma: usual}, k) => sum + (fit.solution[n + k]! / usual) ** 2, 0);
  return WORTH * perSample + added / 2;
};

/** The same with what a curve's coordinates cost that are not the usual ones. */
const costOf = (
  data: FitData,
  fit: LinearFit,
  z: readonly number[],
  belief: CurveBelief,
  spreads: Float64Array,
): number =>
  misfitOf(data, fit, spreads) +
  z.reduce((sum, value, term) => sum + ((value - belief.z[term]!) / belief.sigma) ** 2, 0) / 2;

/** Exponents of plain power curves that are tried, and how much better one must fit to be taken. */
const POWERS = [1.8, 2, 2.2, 2.4, 2.6];
const POWER_GAIN = 4.5;
/** And by how much exponents beside the best one differ that are tried in the end. */
const POWER_STEP = 0.1;
/** A head that is explained no better than this says nothing of its curve. */
const POWER_SPREAD = 1.6;

/** The best plain power curve, if one explains the data better than the curve that was fitted, although nothing bends it. */
const powerFit = (data: FitData, bent: LinearFit): {fit: LinearFit; table: ToneTable} | null => {
  const {spreads} = bent;
  const misfit = misfitOf(data, bent, spreads);
  type Found = {exponent: number; fit: LinearFit; table: ToneTable; misfit: number};
  const tried = (exponent: number): Found => {
    const table = powerTable(exponent);
    const fit = linearFit(data, seeThrough(data, table), bent.weights, 4);
    return {exponent, fit, table, misfit: misfitOf(data, fit, spreads)};
  };
  const better = (one: Found, other: Found): Found => (other.misfit < one.misfit ? other : one);
  let best = POWERS.map(tried).reduce(better);
  if (best.misfit > misfit - POWER_GAIN) return null;
  best = [best.exponent - POWER_STEP, best.exponent + POWER_STEP].map(tried).reduce(better, best);
  return best.fit.spreads[0]! > POWER_SPREAD ? null : best;
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
  let seen = seeThrough(data, table);
  let fit = linearFit(data, seen, null, 6);
  for (let step = 0; step < steps && belief.sigma > 0; step++) {
    const {spreads} = fit;
    const before = costOf(data, fit, z, belief, spreads);
    const change = curveStep(data, fit, seen, table, z, belief);
    let length = 1;
    let better = false;
    while (!better && length > 0.1) {
      const nextZ = z.map((value, term) => value + length * change[term]!);
      const nextTable = curveTable(nextZ);
      const nextSeen = seeThrough(data, nextTable);
      const next = linearFit(data, nextSeen, fit.weights, 2);
      better = costOf(data, next, nextZ, belief, spreads) < before;
      if (better) [z, table, seen, fit] = [nextZ, nextTable, nextSeen, next];
      length /= 2.5;
    }
    if (!better || Math.max(...change.map(Math.abs)) < SHORTEST) break;
  }
  const power = belief.sigma > 0 ? powerFit(data, fit) : null;
  if (power) ({fit, table} = power);
  const n = samples.lights.length;
  return {
    power: fit.solution.slice(0, n),
    added: fit.solution.slice(n),
    curve: table,
    isPower: power !== null,
    spread: fit.spreads[0]!,
    residual: fit.residual,
  };
};
