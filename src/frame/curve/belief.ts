import {solveSymmetric} from '../linear-solve.js';
import {CURVE_KINDS, CURVE_TERMS, type CurveKind, TOE_TERM} from './basis.js';

/** Exponents of plain power curves that are tried. */
export const POWERS = [1.8, 1.9, 2, 2.1, 2.2, 2.3, 2.4, 2.5, 2.6];

/** What is known of a tone curve beforehand. */
export type CurveBelief = {
  /** The likeliest value of each of its coordinates. */
  z: readonly number[];
  /** How firmly: the inverse of their covariance, row by row. */
  precision: readonly number[];
  /** What speaks against a plain power of each of POWERS, as the logarithm of a likelihood; less than 0: for it. */
  againstPowers: readonly number[];
  /** From how many frames the coordinates are known. */
  frames: number;
  /** The likeliest kind of curve; the coordinates are those of such a one. */
  kind: CurveKind;
  /** What is believed if it is of another kind, for those that are still asked. */
  others: readonly CurveBelief[];
};

/** Nothing is known but what curves usually are: each coordinate is about normal with σ 1. */
export const anyShape: CurveBelief = {
  z: new Array<number>(CURVE_TERMS).fill(0),
  precision: Array.from({length: CURVE_TERMS ** 2}, (_, at) => (at % (CURVE_TERMS + 1) === 0 ? 1 : 0)),
  againstPowers: POWERS.map(() => 0),
  frames: 0,
  kind: 'contrast',
  others: [],
};

/** How firmly something is known that isn't asked any more. */
const KNOWN = 1e4;

/** A belief with one coordinate known. */
export const knowing = (belief: CurveBelief, term: number, value: number): CurveBelief => ({
  ...belief,
  z: belief.z.map((own, other) => (other === term ? value : own)),
  precision: belief.precision.map((own, at) => {
    const [row, column] = [Math.floor(at / CURVE_TERMS), at % CURVE_TERMS];
    if (row !== term && column !== term) return own;
    return row === column ? KNOWN : 0;
  }),
});

/**
 * What a frame by itself is measured with: every kind is asked. It can't tell a toe, since light that leaks in looks like
 * one.
 */
const noToe = knowing(anyShape, TOE_TERM, 0);
const others = CURVE_KINDS.filter(kind => kind !== anyShape.kind).map(kind => ({...noToe, kind}));
export const anyCurve: CurveBelief = {...noToe, others};

/** What is believed once it is known of which kind the curve is. */
export const ofKind = (belief: CurveBelief, kind: CurveKind): CurveBelief => ({
  ...(belief.others.find(other => other.kind === kind) ?? belief),
  others: [],
});

/** A symmetric matrix, row by row, times a vector. */
export const times = (matrix: ArrayLike<number>, vector: readonly number[]): number[] =>
  vector.map((_, row) => vector.reduce((sum, value, column) => sum + matrix[row * vector.length + column]! * value, 0));

/** How much a curve's coordinates differ from what is believed: half the square, in σ. */
export const strangeness = ({z: believed, precision}: CurveBelief, z: readonly number[]): number => {
  const apart = z.map((value, term) => value - believed[term]!);
  return times(precision, apart).reduce((sum, value, term) => sum + value * apart[term]!, 0) / 2;
};

/** The same belief, held so many times as firmly. */
export const firmer = (belief: CurveBelief, by: number): CurveBelief => ({
  ...belief,
  precision: belief.precision.map(value => by * value),
  others: belief.others.map(other => firmer(other, by)),
});

/** Measurements of a curve's coordinates: how much they tell (an inverse covariance, row by row), and that times what they tell. */
export type CurveMeasured = {precision: readonly number[]; moment: readonly number[]};

/** A belief with measurements added. */
export const believing = (belief: CurveBelief, {precision: told, moment}: CurveMeasured): CurveBelief => {
  const precision = belief.precision.map((value, at) => value + told[at]!);
  const all = times(belief.precision, belief.z).map((value, term) => value + moment[term]!);
  return {...belief, precision, z: [...solveSymmetric(Float64Array.from(precision), Float64Array.from(all))]};
};
