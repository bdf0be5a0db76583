import type {AddedRows} from './added-rows.js';

/*
 * Normal equations of a weighted least squares fit, summed up point by point. A point has three samples, one a channel.
 * Some columns have a value of their own in each; the added lights' are one value times a tint and what the point reflects,
 * so that products of two of them need the channels' weights only once for every pair of tints.
 */

/** Columns with values of their own, at one point. */
export type OwnColumns = {
  count: number;
  /** Which column of the equations each is, rising. */
  which: Int32Array;
  /** Three values a column. */
  values: Float64Array;
};

export type NormalEquations = {
  size: number;
  /** AᵀWA, row by row; only where the column is no greater than the row until `mirrored`. */
  gram: Float64Array;
  /** AᵀWb. */
  moment: Float64Array;
};

export const normalEquations = (size: number): NormalEquations => ({
  size,
  gram: new Float64Array(size * size),
  moment: new Float64Array(size),
});

/** Room for what is shared by a point's lights of one tint. */
export type Shared = {pairs: Float64Array; withOwn: Float64Array; withTarget: Float64Array; isHere: Uint8Array};

export const sharedFor = (rows: AddedRows, own: number): Shared => {
  const tints = rows.tints.length / 3;
  return {
    pairs: new Float64Array(tints * tints),
    withOwn: new Float64Array(tints * own),
    withTarget: new Float64Array(tints),
    isHere: new Uint8Array(tints),
  };
};

/**
 * Adds one point.
 * @param first which column the first of the added lights is
 * @param isUsed whether each column takes part; null: all of them
 * @param target and worth: by channel
 */
export const addPoint = (
  {size, gram, moment}: NormalEquations,
  own: OwnColumns,
  rows: AddedRows,
  i: number,
  first: number,
  isUsed: Uint8Array | null,
  target: Float64Array,
  worth: Float64Array,
  shared: Shared,
): void => {
  const {start, which, values, tintOf, tints, reflected} = rows;
  const {pairs, withOwn, withTarget, isHere} = shared;
  const from = start[i]!;
  const to = start[i + 1]!;
  const kinds = isHere.length;
  const own3 = own.values;
  for (let a = 0; a < own.count; a++) {
    const r = worth[0]! * own3[3 * a]!;
    const g = worth[1]! * own3[3 * a + 1]!;
    const b = worth[2]! * own3[3 * a + 2]!;
    const row = own.which[a]!;
    moment[row] = moment[row]! + r * target[0]! + g * target[1]! + b * target[2]!;
    for (let o = 0; o <= a; o++) {
      const at = row * size + own.which[o]!;
      gram[at] = gram[at]! + r * own3[3 * o]! + g * own3[3 * o + 1]! + b * own3[3 * o + 2]!;
    }
  }
  if (from === to) return;
  const count = reflected.length / 3;
  const red = reflected[i]!;
  const green = reflected[count + i]!;
  const blue = reflected[2 * count + i]!;
  for (let kind = 0; kind < kinds; kind++) isHere[kind] = 0;
  for (let at = from; at < to; at++) isHere[tintOf[which[at]!]!] = 1;
  for (let kind = 0; kind < kinds; kind++) {
    if (isHere[kind] === 0) continue;
    const r = worth[0]! * red * tints[3 * kind]!;
    const g = worth[1]! * green * tints[3 * kind + 1]!;
    const b = worth[2]! * blue * tints[3 * kind + 2]!;
    withTarget[kind] = r * target[0]! + g * target[1]! + b * target[2]!;
    for (let a = 0; a < own.count; a++) {
      withOwn[kind * own.count + a] = r * own3[3 * a]! + g * own3[3 * a + 1]! + b * own3[3 * a + 2]!;
    }
    for (let other = 0; other < kinds; other++) {
      pairs[kind * kinds + other] =
        r * red * tints[3 * other]! + g * green * tints[3 * other + 1]! + b * blue * tints[3 * other + 2]!;
    }
  }
  for (let at = from; at < to; at++) {
    const row = first + which[at]!;
    if (isUsed !== null && isUsed[row] === 0) continue;
    const kind = tintOf[which[at]!]!;
    const value = values[at]!;
    const line = row * size;
    moment[row] = moment[row]! + value * withTarget[kind]!;
    for (let a = 0; a < own.count; a++) {
      const column = own.which[a]!;
      const place = column < row ? line + column : column * size + row;
      gram[place] = gram[place]! + value * withOwn[kind * own.count + a]!;
    }
    for (let other = from; other <= at; other++) {
      const column = first + which[other]!;
      if (isUsed !== null && isUsed[column] === 0) continue;
      const place = line + column;
      gram[place] = gram[place]! + value * values[other]! * pairs[kind * kinds + tintOf[which[other]!]!]!;
    }
  }
};

/** Fills the other half of the matrix. */
export const mirrored = ({size, gram}: NormalEquations): void => {
  for (let a = 0; a < size; a++) for (let b = 0; b < a; b++) gram[b * size + a] = gram[a * size + b]!;
};
