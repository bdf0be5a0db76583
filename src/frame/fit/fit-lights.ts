import {type CurveKind, TOE_TERM} from '../curve/basis.js';
import {anyShape, type CurveBelief, POWERS, strangeness} from '../curve/belief.js';
import {BEFOREHAND, type KindEvidence} from '../curve/learned-curve.js';
import {curveTable, lightAt, powerTable, type ToneTable} from '../curve/tone-curve.js';
import {biweightLoss, HALF_SQUARES} from '../robust.js';
import type {AddedLight} from './added-rows.js';
import {curveStep} from './curve-step.js';
import {
  type FitData,
  fitData,
  holdOn,
  type LinearFit,
  linearFit,
  type SeenThrough,
  seeThrough,
  spreadAt,
  WORTH,
  weightsAt,
} from './light-model.js';
import {type Samples, WALL_GROUP} from './samples.js';

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
  /** Coordinates of the bent curve that was fitted, and its kind. */
  z: number[];
  kind: CurveKind;
  /** What the data say of each kind of curve that was tried, this one among them. */
  kinds: Readonly<Partial<Record<CurveKind, KindEvidence>>>;
  /** Whether the curve is a plain power: it is then known down to black. */
  isPower: boolean;
  /** By how much plain powers explain the data worse, as the logarithm of a likelihood; null where they weren't tried. */
  againstPowers: number[] | null;
  /** Robust spread of the residual on the head, in units of its expected noise. */
  spread: number;
  /** Frame less model in units of expected noise, three channels after one another. */
  residual: Float64Array;
};

/** Steps shorter than this change nothing worth waiting for. */
const SHORTEST = 0.02;
/** And so are steps that make the cost smaller by no more than this, in half squares of σ. */
const LEAST_GAIN = 0.1;

/** Misfit of data and added light together. */
const misfitOf = (data: FitData, fit: LinearFit, spreads: Float64Array): number => {
  let loss = 0;
  let count = 0;
  for (let i = 0; i < fit.residual.length; i++) {
    if (!data.usable[i]) continue;
    loss += biweightLoss(fit.residual[i]!, spreadAt(data, spreads, i));
    count++;
  }
  // As half a squared residual, since a coordinate counts half its square.
  const perSample = HALF_SQUARES * (loss / Math.max(1, count));
  const n = data.samples.lights.length;
  const added = data.added.reduce((sum, {sigma: usual}, k) => sum + (fit.solution[n + k]! / usual) ** 2, 0);
  let held = 0;
  for (let k = 0; k < n; k++) held += holdOn(data, fit.solution[k]!) * (fit.solution[k]! - 1) ** 2;
  return WORTH * perSample + (added + held) / 2;
};

/** The same with what a curve's coordinates cost that are not the usual ones. */
const costOf = (
  data: FitData,
  fit: LinearFit,
  z: readonly number[],
  belief: CurveBelief,
  spreads: Float64Array,
): number => misfitOf(data, fit, spreads) + strangeness(belief, z);

/** How much better a plain power curve must explain the data to be taken. */
const POWER_GAIN = 4.5;
/** What is known for a power, or against every one, beyond this no frame outweighs. */
const BEYOND_DOUBT = 24;
/** Rounds that show which exponent is the best, and that no other comes so much closer by more rounds; and rounds then. */
const FEW_ROUNDS = 2;
const BY_MORE_ROUNDS = 3;
const ROUNDS = 4;
/** And by how much exponents beside the best one differ that are tried in the end. */
const POWER_STEP = 0.05;
/** Between exponents that are all worse by more than this none is right. */
const MAY_BE = 16;
/** A head that is explained no better than this says nothing of its curve. */
const POWER_SPREAD = 1.6;

type Found = {exponent: number; fit: LinearFit; table: ToneTable; misfit: number};
type PowerFit = {
  found: Found | null;
  /** By how much each of POWERS explains these data worse than the bent curve; null where none was tried. */
  againstPowers: number[] | null;
};

/** The best plain power curve, if one explains the data better than the curve that was fitted, although nothing bends it. */
const powerFit = (data: FitData, bent: LinearFit, {againstPowers: known}: CurveBelief): PowerFit => {
  if (Math.min(...known) > BEYOND_DOUBT) return {found: null, againstPowers: null};
  const {spreads} = bent;
  const misfit = misfitOf(data, bent, spreads);
  const tried = (exponent: number, rounds: number): Found => {
    const table = powerTable(exponent);
    const fit = linearFit(data, seeThrough(data, table), bent.weights, rounds);
    return {exponent, fit, table, misfit: misfitOf(data, fit, spreads)};
  };
  const few = POWERS.map((exponent, n) => (n % 2 === 0 ? tried(exponent, FEW_ROUNDS) : null));
  const against = (n: number): number => (few[n] ? few[n].misfit - misfit : Number.POSITIVE_INFINITY);
  const likeliest = (): number => {
    const sums = POWERS.map((_, n) => against(n) + known[n]!);
    return sums.indexOf(Math.min(...sums));
  };
  // Between them only where one may be right.
  const coarse = likeliest();
  if (against(coarse) + known[coarse]! < MAY_BE) {
    for (const n of [coarse - 1, coarse + 1]) if (n >= 0 && n < POWERS.length) few[n] = tried(POWERS[n]!, FEW_ROUNDS);
  }
  const againstPowers = POWERS.map((_, n) => (few[n] ? against(n) : (against(n - 1) + against(n + 1)) / 2));
  const least = likeliest();
  if (againstPowers[least]! + known[least]! > BY_MORE_ROUNDS - POWER_GAIN) return {found: null, againstPowers};
  const exponent = POWERS[least]!;
  const around = [0, -POWER_STEP, POWER_STEP].map(step => tried(exponent + step, ROUNDS));
  if (around[0]!.misfit - misfit + known[least]! > -POWER_GAIN) return {found: null, againstPowers};
  const found = around.reduce((one, other) => (other.misfit < one.misfit ? other : one));
  const isExplained = found.fit.spreads[0]! <= POWER_SPREAD || known[least]! < -POWER_GAIN;
  return {found: isExplained ? found : null, againstPowers};
};

type CurveFit = Pick<LightFit, 'z' | 'kind' | 'kinds' | 'isPower' | 'againstPowers'> & {
  fit: LinearFit;
  table: ToneTable;
};

/** For a curve that is known to be a power: which one, about the likeliest. */
const knownPowerFit = (
  data: FitData,
  {z, againstPowers, kind}: CurveBelief,
  likely: ArrayLike<number> | null,
): CurveFit => {
  const likeliest = POWERS[againstPowers.indexOf(Math.min(...againstPowers))]!;
  const fits = [0, -POWER_STEP, POWER_STEP].map(step => {
    const table = powerTable(likeliest + step);
    return {table, fit: startFit(data, seeThrough(data, table), likely)};
  });
  const {spreads} = fits[0]!.fit;
  const misfits = fits.map(({fit}) => misfitOf(data, fit, spreads));
  const best = fits[misfits.indexOf(Math.min(...misfits))]!;
  return {...best, z: [...z], kind, kinds: {}, isPower: true, againstPowers: null};
};

/** A light of this power by the head's registration, of which a fit finds less than this part, may have been lost to it. */
const SEEN_POWER = 0.3;
const LOST_PART = 0.4;

/**
 * Powers for a known curve, from the start. Where a head moved through a light's narrow pool, a robust fit may take all
 * that the light gave for outliers: the powers that the registration found are tried too, and the better of both is taken.
 */
const startFit = (data: FitData, seen: SeenThrough, likely: ArrayLike<number> | null): LinearFit => {
  const fit = linearFit(data, seen, null, 6);
  if (!likely) return fit;
  const isLost = data.samples.lights.some(
    (_, k) => likely[k]! > SEEN_POWER && fit.solution[k]! < LOST_PART * likely[k]!,
  );
  if (!isLost) return fit;
  const solution = fit.solution.map((value, k) => (k < likely.length ? Math.max(value, likely[k]!) : value));
  const other = linearFit(data, seen, weightsAt(data, seen, solution), 6);
  const spreads = fit.spreads.map((own, set) => Math.min(own, other.spreads[set]!));
  return misfitOf(data, other, spreads) < misfitOf(data, fit, spreads) ? other : fit;
};

/** By so much more must an unusual kind of curve explain a frame to speak for itself: all frames of a shoot err alike. */
const MUST_EXPLAIN: Readonly<Record<CurveKind, number>> = {contrast: 0, intoPower: 3.5, wide: 7};
/** A power's end takes light away, a toe gives it back: where the plates tell more of one than this, it isn't a power's end. */
const MOST_TOE_BESIDE_POWER = 0.7;
const TOE_BESIDE_POWER = 14;
/**
 * Where a curve is no stranger than this, none that keeps more light is tried. And one of those is none if a coordinate is
 * beyond so many σ, and it is nearly as strange as a contrast would be, more than so many times: an S with a long shoulder,
 * which in black is like neither.
 */
const STRANGE = 3;
const TOO_STRANGE = 3;
const AS_STRANGE = 0.4;

type BentFit = {belief: CurveBelief; fit: LinearFit; table: ToneTable; z: number[]};

/** A bent curve of the believed kind, by Gauss-Newton steps. */
const bentFit = (
  data: FitData,
  belief: CurveBelief,
  steps: number,
  from: readonly number[],
  likely: ArrayLike<number> | null,
): BentFit => {
  let z = [...from];
  let table = curveTable(z, belief.kind);
  let seen = seeThrough(data, table);
  let fit = startFit(data, seen, likely);
  for (let step = 0; step < steps; step++) {
    const {spreads} = fit;
    const before = costOf(data, fit, z, belief, spreads);
    const change = curveStep(data, fit, seen, table, z, belief);
    let length = 1;
    let better = false;
    let gain = 0;
    while (!better && length > 0.1) {
      const nextZ = z.map((value, term) => value + length * change[term]!);
      const nextTable = curveTable(nextZ, belief.kind);
      const nextSeen = seeThrough(data, nextTable);
      const next = linearFit(data, nextSeen, fit.weights, 2);
      const after = costOf(data, next, nextZ, belief, spreads);
      better = after < before;
      gain = before - after;
      if (better) [z, table, seen, fit] = [nextZ, nextTable, nextSeen, next];
      length /= 2.5;
    }
    if (!better || gain < LEAST_GAIN || Math.max(...change.map(Math.abs)) < SHORTEST) break;
  }
  return {belief, fit, table, z};
};

const withoutToe = (z: readonly number[]): number[] => z.map((value, term) => (term === TOE_TERM ? 0 : value));

/**
 * Most frames hold no leak: what speaks against one, none of it and all where it lifts the wall by so much, EV. A curve by
 * which every frame of a shoot would hold one is another.
 */
const AGAINST_LEAK = 8;
const LEAK_RISE = [0.5, 1.5] as const;

/** By how much the fit lets the wall rise, EV. */
const wallRise = ({samples, added}: FitData, {solution}: LinearFit, table: ToneTable): number => {
  const {count, group, dark, lights} = samples;
  let before = 0;
  let more = 0;
  for (let i = 0; i < count; i++) {
    if (group[i] !== WALL_GROUP) continue;
    for (let c = 0; c < 3; c++) {
      before += lightAt(table, dark[c * count + i]!);
      for (let k = 0; k < added.length; k++) {
        const {shape, tint} = added[k]!;
        if (shape[i] !== 0) more += solution[lights.length + k]! * shape[i]! * tint[c]!;
      }
    }
  }
  return before > 0 ? Math.log2(1 + more / before) : 0;
};

/** What speaks against a kind of curve, as the logarithm of a likelihood; the less the better. */
const againstKind = (data: FitData, {belief, fit, table, z}: BentFit, spreads: Float64Array): number => {
  const {kind} = belief;
  const againstToe = TOE_BESIDE_POWER * Math.max(0, belief.z[TOE_TERM]! - MOST_TOE_BESIDE_POWER);
  const [none, all] = LEAK_RISE;
  const againstLeak = AGAINST_LEAK * Math.max(0, Math.min(1, (wallRise(data, fit, table) - none) / (all - none)));
  const cost = costOf(data, fit, z, belief, spreads) + MUST_EXPLAIN[kind] + againstLeak;
  return kind === 'intoPower' ? cost + againstToe : cost;
};

const strangenessOf = (z: readonly number[]): number => strangeness(anyShape, withoutToe(z));

/** Whether a wide curve is too strange to be one, beside the others that were tried. */
const isNone = ({belief: {kind}, z}: BentFit, tried: readonly BentFit[]): boolean => {
  if (kind !== 'wide' || withoutToe(z).every(value => Math.abs(value) <= TOO_STRANGE)) return false;
  const contrast = tried.find(other => other.belief.kind === 'contrast');
  return contrast !== undefined && strangenessOf(z) > AS_STRANGE * strangenessOf(contrast.z);
};

const leastOf = <Own>(all: readonly Own[], of: (own: Own) => number): Own =>
  all.reduce((least, own) => (of(own) < of(least) ? own : least));

/** A bent curve of whichever kind explains more, or a plain power where that does. */
const curveFit = (
  data: FitData,
  belief: CurveBelief,
  steps: number,
  mayBePower: boolean,
  from: readonly number[],
  likely: ArrayLike<number> | null,
): CurveFit => {
  const first = bentFit(data, {...belief, others: []}, steps, from, likely);
  const isStrange = belief.kind === 'wide' || strangenessOf(first.z) > STRANGE;
  const others = belief.others
    .filter(({kind}) => kind !== 'wide' || isStrange)
    .map(other => bentFit(data, other, steps, other.z, likely));
  const tried = [first, ...others];
  const all = tried.map(own => ({
    ...own,
    against: isNone(own, tried) ? Number.POSITIVE_INFINITY : againstKind(data, own, first.fit.spreads),
  }));
  const least = Math.min(...all.map(({against}) => against));
  // A leak looks like another kind: where other frames say which it is, this one isn't asked for itself.
  const bent = belief.frames > 0 ? all[0]! : leastOf(all, own => own.against + BEFOREHAND[own.belief.kind]);
  const more = (against: number): number => (against === Number.POSITIVE_INFINITY ? against : against - least);
  const kinds = Object.fromEntries(all.map(({belief: {kind}, z, against}) => [kind, {z, against: more(against)}]));
  const {z} = bent;
  let {fit, table} = bent;
  // A curve that goes into black as a power is nearly a plain one: whether a plain one is right shows against the first.
  const power = mayBePower ? powerFit(data, first.fit, belief) : null;
  if (power?.found) ({fit, table} = power.found);
  const againstPowers = power?.againstPowers ?? null;
  return {fit, table, z, kind: bent.belief.kind, kinds, isPower: Boolean(power?.found), againstPowers};
};

/** How a fit may differ from the usual. */
export type FitOptions = {
  /** Whether plain power curves are tried too; they are unless this says otherwise. */
  mayBePower?: boolean;
  /** The curve's coordinates to begin with; else what is believed. */
  from?: readonly number[];
  /** How firmly each power is held to its plate's, as 1/σ²; else not at all. */
  hold?: number;
  /** Each light's power as the head's registration found it. */
  likely?: ArrayLike<number>;
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
  {mayBePower = true, from = belief.z, hold = 0, likely}: FitOptions = {},
): LightFit => {
  const data = fitData(samples, added, hold);
  const isKnownPower = Math.min(...belief.againstPowers) < -BEYOND_DOUBT;
  const {fit, table, ...told} = isKnownPower
    ? knownPowerFit(data, belief, likely ?? null)
    : curveFit(data, belief, steps, mayBePower, from, likely ?? null);
  const n = samples.lights.length;
  return {
    power: fit.solution.slice(0, n),
    added: fit.solution.slice(n),
    curve: table,
    ...told,
    spread: fit.spreads[0]!,
    residual: fit.residual,
  };
};
