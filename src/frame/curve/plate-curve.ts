import {solveSymmetric} from '../linear-solve.js';
import {biweight, biweightLoss, HALF_SQUARES, MAD_TO_SIGMA, medianSize, quantile} from '../robust.js';
import {CURVE_KINDS, CURVE_TERMS, type CurveKind, TOE_TERM} from './basis.js';
import {
  anyShape,
  believing,
  type CurveBelief,
  type CurveMeasured,
  knowing,
  POWERS,
  strangeness,
  times,
} from './belief.js';
import {curveTable, lightAt, powerTable, type ToneTable} from './tone-curve.js';

/*
 * What the plates alone say of the camera's tone curve. One light has one colour, however much of it falls on a place: on
 * a wall of one colour, the ratio of two channels is the same where the light is strong and where it is weak. On the
 * sitter, whose colours differ from place to place, it is the ratio of one light's ratio to another's. A curve that bends
 * tones makes these ratios change with brightness; the right one makes them even. A power of the light keeps them even
 * too, whatever its exponent: that the plates can't tell, but the sum of lights in a frame can.
 */

/** Places at which a ratio of channels, or of two lights' ratios, is the same. */
export type ColourTies = {
  /** Channels in one tie: 2, one over the other, or 4, that over another light's. */
  terms: 2 | 4;
  /** Code values, one tie after another: of the light's plate, of the dark plate there, and their error as σ. */
  codes: Float64Array;
  darkCodes: Float64Array;
  errors: Float64Array;
  /** Ties of one group have one ratio. */
  groups: Int32Array;
  groupCount: number;
};

/** What plates say. */
export type PlateCurve = {
  /** Of each kind of curve. */
  kinds: Readonly<Record<CurveKind, CurveMeasured>>;
  /** By how much plain powers explain the plates worse than a bent contrast, as the logarithm of a likelihood. */
  againstPowers: number;
};

const ofKinds = <Told>(of: (kind: CurveKind) => Told): Record<CurveKind, Told> =>
  Object.fromEntries(CURVE_KINDS.map(kind => [kind, of(kind)])) as Record<CurveKind, Told>;

export const noPlateCurve: PlateCurve = {
  kinds: ofKinds(() => ({precision: anyShape.precision.map(() => 0), moment: anyShape.z.map(() => 0)})),
  againstPowers: 0,
};

/**
 * How many independent ties all of a set are worth, where there are enough of them: neighbours err alike, and a camera's
 * curve is never quite one of those that three coordinates make.
 */
const WORTH = 10;
/** A power is one number, which nothing else that bends looks like: for and against it they are worth so many times more. */
const OF_POWERS = 6;
const ENOUGH = 200;
/** Fewer tell nothing. */
const LEAST = 30;
/** No set is trusted to be better than its expected errors by more than this. */
const LEAST_SPREAD = 0.7;
const STEPS = 8;
const SHORTEST = 0.02;
const LONGEST = 1;

const SIGNS = [1, -1, -1, 1];

/** Logarithms of the ties' ratios through a curve, and their errors. */
type Seen = {ratios: Float64Array; sigmas: Float64Array};

const seenThrough = ({terms, codes, darkCodes, errors, groups}: ColourTies, table: ToneTable): Seen => {
  const ratios = new Float64Array(groups.length);
  const sigmas = new Float64Array(groups.length);
  for (let i = 0, at = 0; i < groups.length; i++) {
    let variance = 0;
    for (let term = 0; term < terms; term++, at++) {
      const code = codes[at]!;
      const light = Math.max(1e-9, lightAt(table, code) - lightAt(table, darkCodes[at]!));
      const slope = lightAt(table, Math.min(255, code + 0.5)) - lightAt(table, Math.max(0, code - 0.5));
      ratios[i] = ratios[i]! + SIGNS[term]! * Math.log(light);
      variance += ((slope * errors[at]!) / light) ** 2;
    }
    sigmas[i] = Math.sqrt(variance);
  }
  return {ratios, sigmas};
};

/** Ratios less what is typical of their group, in units of their errors. */
type Apart = {residuals: Float64Array; spread: number};

const ROUNDS = 5;

const apartFrom = (ties: ColourTies, {ratios, sigmas}: Seen, known: number | null): Apart => {
  const {groups, groupCount} = ties;
  const residuals = new Float64Array(ratios.length);
  const middles = new Float64Array(groupCount);
  for (let group = 0; group < groupCount; group++) {
    middles[group] = quantile(
      ratios.filter((_, i) => groups[i] === group),
      0.5,
    );
  }
  let spread = known ?? 1;
  for (let round = 0; round < ROUNDS; round++) {
    for (let i = 0; i < ratios.length; i++) residuals[i] = (ratios[i]! - middles[groups[i]!]!) / sigmas[i]!;
    if (known === null) spread = Math.max(LEAST_SPREAD, MAD_TO_SIGMA * medianSize(residuals));
    const sums = new Float64Array(groupCount);
    const totals = new Float64Array(groupCount);
    for (let i = 0; i < ratios.length; i++) {
      const weight = biweight(residuals[i]!, spread) / sigmas[i]! ** 2;
      sums[groups[i]!] = sums[groups[i]!]! + weight * ratios[i]!;
      totals[groups[i]!] = totals[groups[i]!]! + weight;
    }
    for (let group = 0; group < groupCount; group++) {
      if (totals[group]! > 0) middles[group] = sums[group]! / totals[group]!;
    }
  }
  return {residuals, spread};
};

const worthOf = ({groups}: ColourTies): number => WORTH * Math.min(1, groups.length / ENOUGH);

const lossOf = (ties: ColourTies, {residuals, spread}: Apart): number => {
  let loss = 0;
  for (const residual of residuals) loss += biweightLoss(residual, spread);
  return (worthOf(ties) * HALF_SQUARES * loss) / residuals.length;
};

const misfitOf = (sets: readonly ColourTies[], table: ToneTable, spreads: readonly number[]): number =>
  sets.reduce((sum, ties, n) => sum + lossOf(ties, apartFrom(ties, seenThrough(ties, table), spreads[n]!)), 0);

/** A step in a coordinate that shows how residuals change with it. */
const NEXT = 0.1;

/** How much a set tells of the coordinates where they are: the gradient of its misfit, and its curvature. */
const tellingOf = (
  ties: ColourTies,
  z: readonly number[],
  kind: CurveKind,
  spread: number,
): {gradient: number[]; curvature: number[]} => {
  const residualsAt = (at: readonly number[]): Float64Array =>
    apartFrom(ties, seenThrough(ties, curveTable(at, kind)), spread).residuals;
  const residuals = residualsAt(z);
  const weights = residuals.map(residual => biweight(residual, spread));
  const changes = z.map((_, term) => {
    const next = residualsAt(z.map((value, other) => (other === term ? value + NEXT : value)));
    return next.map((residual, i) => (residual - residuals[i]!) / NEXT);
  });
  const scale = worthOf(ties) / (residuals.length * spread ** 2);
  const product = (one: Float64Array, other: Float64Array): number => {
    let sum = 0;
    for (let i = 0; i < one.length; i++) sum += weights[i]! * one[i]! * other[i]!;
    return scale * sum;
  };
  return {
    gradient: changes.map(change => product(change, residuals)),
    curvature: changes.flatMap(one => changes.map(other => product(one, other))),
  };
};

const summed = (lists: readonly (readonly number[])[], length: number): number[] =>
  Array.from({length}, (_, at) => lists.reduce((sum, list) => sum + list[at]!, 0));

/**
 * The curve that makes the plates' ratios the most even, and how well it is told.
 * @param all sets of ties that each have a spread of their own, as on the sitter and on the wall; one of few tells nothing
 */
export const plateCurve = (all: readonly ColourTies[]): PlateCurve => {
  const sets = all.filter(({groups}) => groups.length >= LEAST);
  if (sets.length === 0) return noPlateCurve;
  const kinds = ofKinds(kind => curveOf(sets, kind));
  const {misfit, spreads} = kinds.contrast;
  // What evens ratios out does so with every exponent alike, but for what the dark plate takes away.
  const asPowers = POWERS.map(exponent => misfitOf(sets, powerTable(exponent), spreads));
  return {kinds, againstPowers: OF_POWERS * (Math.min(...asPowers) - misfit)};
};

/** The curve of one kind that makes the ratios the most even, how well it does so, and each set's spread through it. */
type EvenCurve = CurveMeasured & {misfit: number; spreads: number[]};

const curveOf = (sets: readonly ColourTies[], kind: CurveKind): EvenCurve => {
  const spreadsThrough = (table: ToneTable): number[] =>
    sets.map(ties => apartFrom(ties, seenThrough(ties, table), null).spread);
  let z = [...anyShape.z];
  let table = curveTable(z, kind);
  let spreads = spreadsThrough(table);
  let told: number[] = [];
  for (let step = 0; step < STEPS; step++) {
    const parts = sets.map((ties, n) => tellingOf(ties, z, kind, spreads[n]!));
    told = summed(
      parts.map(({curvature}) => curvature),
      anyShape.precision.length,
    );
    const gradient = summed(
      parts.map(part => part.gradient),
      CURVE_TERMS,
    ).map((value, term) => value + z[term]!);
    const full = Float64Array.from(told, (value, at) => value + anyShape.precision[at]!);
    const change = [...solveSymmetric(full, Float64Array.from(gradient))].map(value =>
      Math.max(-LONGEST, Math.min(LONGEST, -value)),
    );
    const costOf = (at: number[]): number => misfitOf(sets, curveTable(at, kind), spreads) + strangeness(anyShape, at);
    const before = costOf(z);
    let length = 1;
    let next = z;
    while (length > 0.1) {
      const tried = z.map((value, term) => value + length * change[term]!);
      if (costOf(tried) < before) {
        next = tried;
        break;
      }
      length /= 2.5;
    }
    if (next === z) break;
    z = next;
    table = curveTable(z, kind);
    spreads = spreadsThrough(table);
    if (Math.max(...change.map(Math.abs)) < SHORTEST) break;
  }
  const misfit = misfitOf(sets, table, spreads) + strangeness(anyShape, z);
  const moment = times(told, z).map((value, term) => value + z[term]!);
  return {precision: told, moment, misfit, spreads};
};

/** What plates say for and against plain powers counts no more than this. */
const MOST_FOR = 12;
const MOST_AGAINST = 30;

/** Other bends look a little like a toe: told no more firmly than this, in σ, it is none, and only from so much on believed. */
const NO_TOE = 0.5;
const TOE = 0.7;
/** How far the toe is what the plates would tell if the rest of the curve were what frames say, and not what plates do. */
const GIVEN = 0.5;

/**
 * The toe that the plates tell where a curve's other coordinates are said to be these. Plates and frames see other parts of
 * it, and say different things of it where it is none of those that the coordinates make: the toe is between both.
 */
const toeGiven = (plates: CurveMeasured, z: readonly number[]): number => {
  const {z: told, precision} = believing(anyShape, plates);
  const row = TOE_TERM * CURVE_TERMS;
  const own = precision[row + TOE_TERM]!;
  const toe = told[TOE_TERM]!;
  let given = toe;
  for (let term = 0; term < TOE_TERM; term++) given -= (precision[row + term]! / own) * (z[term]! - told[term]!);
  const part = Math.max(0, Math.min(1, (toe * Math.sqrt(own) - NO_TOE) / (TOE - NO_TOE)));
  return part * Math.max(0, toe + GIVEN * (given - toe));
};

/** A belief about a curve of a kind that is known, with the toe that the plates tell with such other coordinates. */
export const withToeGiven = (belief: CurveBelief, plates: PlateCurve, z: readonly number[]): CurveBelief =>
  knowing(belief, TOE_TERM, toeGiven(plates.kinds[belief.kind], z));

/**
 * What is believed of a curve once the plates are asked. Frames that tell its coordinates were measured so themselves, and
 * tell more: the sum of two lights shows how many times brighter one code value is than another. But a toe the plates alone
 * tell, and none makes what is dark brighter.
 */
export const askingPlates = (belief: CurveBelief, plates: PlateCurve): CurveBelief => {
  const say = plates.kinds[belief.kind];
  const own = Math.max(-MOST_FOR, Math.min(MOST_AGAINST, plates.againstPowers));
  const told = believing(belief, say);
  const {z} = belief.frames > 0 ? belief : believing(anyShape, say);
  return {
    ...withToeGiven(belief.frames > 0 ? belief : told, plates, z),
    againstPowers: belief.againstPowers.map(value => value + own),
    others: belief.others.map(other => askingPlates(other, plates)),
  };
};
