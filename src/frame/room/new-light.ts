import {nonNegativeLeastSquares} from '../fit/nnls.js';
import {biweight, MAD_TO_SIGMA, madSigma, medianOf} from '../robust.js';
import type {WallBlock} from './wall-samples.js';

/*
 * Light that wasn't there when the plates were taken lies broadly over the wall. It is described by an even part and by
 * parts that fall off from each side, slowly or fast, found by robust non-negative least squares from the wall's
 * squares: a trail, however bright, is narrow and stays an outlier.
 */

export type NewLight = {
  /** What tells it between the blocks. */
  parts: SoftLight;
  /** New light of each block: what was seen where it fits, what fits where it doesn't. */
  blocks: Float64Array;
  /** How well each block fits, 0 (an outlier) to 1. */
  weights: Float64Array;
  /** σ of what was seen of each, linear. */
  doubts: Float64Array;
};

/** New light that the sides' parts describe (their sizes), what they don't, and the most that was seen. */
export type SoftLight = {solution: Float64Array; local: LocalLight; most: number};

/** What the sides' parts don't describe: of each block, and on the whole grid that they lie on, with its pitch. */
type LocalLight = {
  difference: Float64Array;
  grid: Float64Array;
  columns: number;
  rows: number;
  pitchX: number;
  pitchY: number;
};

/** Blocks on either side that a block's neighbourhood reaches, and how unlike they may be to be one soft light. */
const NEIGHBOURS = 2;
const SOFT = 0.3;

/** How far each part reaches, as the fraction of the frame over which it falls to 1/e. */
const REACHES = [0.07, 0.22, 0.7];
export const NEW_LIGHT_TERMS = 1 + 4 * REACHES.length;
/** On the wall also what lies about each side's middle and each corner: light through a door's gap is a patch. */
const PATCHES = [0, 0.5, 1].flatMap(x => [0, 0.5, 1].map(y => ({x, y}))).filter(({x, y}) => x !== 0.5 || y !== 0.5);
const PATCH_REACH = 0.3;
const TERMS = NEW_LIGHT_TERMS + PATCHES.length;

/** From so many times its doubt on, new light is told as patches too. */
const CLEAR = 8;
const sumOf = (values: Float64Array): number => values.reduce((sum, value) => sum + value, 0);

/** How much of a patch about one place along an edge of the frame lies at another. */
const patchAlong = (place: number, middle: number): number => Math.exp(-(((place - middle) / PATCH_REACH) ** 2));

/** Values of the even part and of those from each side, at a place in fractions of the frame. */
export const newLightBasis = (x: number, y: number, into: Float64Array): void => {
  into[0] = 1;
  REACHES.forEach((reach, n) => {
    into[1 + 4 * n] = Math.exp(-x / reach);
    into[2 + 4 * n] = Math.exp(-(1 - x) / reach);
    into[3 + 4 * n] = Math.exp(-y / reach);
    into[4 + 4 * n] = Math.exp(-(1 - y) / reach);
  });
};

/** Most that a light's spill is off by, as a part of it, where head and wall see its power through another part of the curve. */
const SPILL_SIGMA = 0.025;

/**
 * How well a block fits. Only a trail makes one an outlier, and a trail is brighter: what is darker than fits always has
 * its say (Huber's weight), lest light from a side be thought to lie where there is none.
 */
const weightOf = (misfit: number, sigma: number): number =>
  misfit < 0 ? Math.min(1, (HUBER * sigma) / -misfit) : biweight(misfit, sigma);
const HUBER = 1.345;
/** What a block counts that a trail makes brighter; a little, so that one round's answer doesn't throw over the last. */
const UNDER_TRAIL = 0.001;

/**
 * @param seen new light of each block, linear; may be a little negative by noise
 * @param doubt standard deviation of each, linear: noise, and what the flashes' spill there leaves uncertain
 * @param spills each light's spill on each block, linear, alike in scale to `seen`
 * @param drawn blocks that a trail or its halo lies on: what is seen there is not the room's
 */
export const fitNewLight = (
  blocks: readonly WallBlock[],
  seen: Float64Array,
  doubt: Float64Array,
  spills: readonly Float64Array[],
  drawn: Uint8Array,
): NewLight => {
  const counts = Float64Array.from(drawn, value => (value ? 0 : 1));
  // Too much or too little of a light's spill: a column each, since none may be negative.
  const size = TERMS + 2 * spills.length;
  const isClear = sumOf(seen) > CLEAR * sumOf(doubt);
  // Column by column.
  const basis = new Float64Array(size * blocks.length);
  const row = new Float64Array(NEW_LIGHT_TERMS);
  blocks.forEach(({x, y}, i) => {
    newLightBasis(x, y, row);
    for (let a = 0; a < NEW_LIGHT_TERMS; a++) basis[a * blocks.length + i] = row[a]!;
    // Little new light would be told as patches of noise.
    if (isClear) {
      PATCHES.forEach((patch, n) => {
        basis[(NEW_LIGHT_TERMS + n) * blocks.length + i] = patchAlong(x, patch.x) * patchAlong(y, patch.y);
      });
    }
    spills.forEach((spill, k) => {
      basis[(TERMS + 2 * k) * blocks.length + i] = spill[i]!;
      basis[(TERMS + 2 * k + 1) * blocks.length + i] = -spill[i]!;
    });
  });
  const weights = Float64Array.from(counts);
  let solution = new Float64Array(size);
  const fitted = new Float64Array(blocks.length);
  const spilt = new Float64Array(blocks.length);
  const misfit = new Float64Array(blocks.length);
  const sizes = new Float64Array(blocks.length);
  for (let round = 0; round < 8; round++) {
    const before = solution;
    solution = weightedFit(basis, seen, doubt, fitted, weights, size, isClear);
    let sized = 0;
    for (let i = 0; i < blocks.length; i++) {
      let sum = 0;
      let own = 0;
      for (let a = 0; a < TERMS; a++) sum += solution[a]! * basis[a * blocks.length + i]!;
      for (let a = TERMS; a < size; a++) own += solution[a]! * basis[a * blocks.length + i]!;
      fitted[i] = sum;
      spilt[i] = own;
      misfit[i] = (seen[i]! - own - sum) / (doubt[i]! + 0.15 * sum);
      if (counts[i]! > 0) sizes[sized++] = Math.abs(misfit[i]!);
    }
    const spread = Math.max(1, MAD_TO_SIGMA * medianOf(sizes.subarray(0, sized)));
    for (let i = 0; i < blocks.length; i++) {
      // A trail only adds light: where it lies, there is no more new light than was seen.
      weights[i] = counts[i]! > 0 || misfit[i]! < 0 ? weightOf(misfit[i]!, spread) : UNDER_TRAIL;
    }
    if (isSettled(before, solution)) break;
  }
  const own = seen.map((value, i) => value - spilt[i]!);
  const local = localDifference(blocks, own, fitted, doubt, counts);
  let most = 0;
  const found = own.map((value, i) => {
    const soft = Math.max(0, fitted[i]! + local.difference[i]!);
    const misfit = (value - soft) / (doubt[i]! + 0.15 * soft);
    // What was seen is less than what fits only where there is less.
    const weight = misfit < 0 ? 1 : counts[i]! * biweight(misfit, 1.5);
    weights[i] = weight;
    if (weight > 0.5) most = Math.max(most, soft, value);
    return weight * value + (1 - weight) * soft;
  });
  return {
    parts: {solution, local, most},
    blocks: found.map(value => Math.min(most, value)),
    weights,
    doubts: doubt,
  };
};

/** Non-negative least squares with these weights; as misfits grow with the light, so do their doubts. */
const weightedFit = (
  basis: Float64Array,
  seen: Float64Array,
  doubt: Float64Array,
  fitted: Float64Array,
  weights: Float64Array,
  size: number,
  isClear: boolean,
): Float64Array<ArrayBuffer> => {
  const gram = new Float64Array(size * size);
  const moment = new Float64Array(size);
  const count = seen.length;
  const worth = new Float64Array(count);
  const isEmpty = (column: number): boolean => !isClear && column >= NEW_LIGHT_TERMS && column < TERMS;
  for (let i = 0; i < count; i++) worth[i] = weights[i]! / (doubt[i]! + 0.15 * fitted[i]!) ** 2;
  const weighted = new Float64Array(count);
  for (let a = 0; a < size; a++) {
    if (isEmpty(a)) continue;
    const column = basis.subarray(a * count, (a + 1) * count);
    for (let i = 0; i < count; i++) weighted[i] = worth[i]! * column[i]!;
    moment[a] = dot(weighted, seen, 0);
    for (let b = 0; b <= a; b++) if (!isEmpty(b)) gram[a * size + b] = dot(weighted, basis, b * count);
  }
  for (let a = 0; a < size; a++) for (let b = 0; b < a; b++) gram[b * size + a] = gram[a * size + b]!;
  for (let a = 0; a < size; a++) gram[a * size + a] = gram[a * size + a]! * 1.0001 + 1e-12;
  for (let a = TERMS; a < size; a++) gram[a * size + a] = gram[a * size + a]! + 1 / SPILL_SIGMA ** 2;
  return Float64Array.from(nonNegativeLeastSquares(gram, moment));
};

/** Sum of products of one column and another that begins at a place of a matrix. */
const dot = (column: Float64Array, other: Float64Array, from: number): number => {
  let sum = 0;
  for (let i = 0; i < column.length; i++) sum += column[i]! * other[from + i]!;
  return sum;
};

/** Whether another round would change nothing that eight bits could show. */
const isSettled = (before: Float64Array, after: Float64Array): boolean =>
  after.every((value, a) => Math.abs(value - before[a]!) <= 1e-6 + 0.002 * Math.abs(value));

/** What soft light the sides' parts don't describe: typical of a neighbourhood whose blocks agree. */
const localDifference = (
  blocks: readonly WallBlock[],
  seen: Float64Array,
  fitted: Float64Array,
  doubt: Float64Array,
  counts: Float64Array,
): LocalLight => {
  const columns = Math.max(0, ...blocks.map(({column}) => column)) + 1;
  const rows = Math.max(0, ...blocks.map(({row}) => row)) + 1;
  const numbers = new Int32Array(columns * rows).fill(-1);
  blocks.forEach(({column, row}, i) => {
    numbers[row * columns + column] = i;
  });
  const near = new Float64Array((2 * NEIGHBOURS + 1) ** 2);
  const levels = new Float64Array(near.length);
  const difference = Float64Array.from(blocks, ({column, row}) => {
    let count = 0;
    let doubts = 0;
    for (let y = Math.max(0, row - NEIGHBOURS); y <= Math.min(rows - 1, row + NEIGHBOURS); y++) {
      for (let x = Math.max(0, column - NEIGHBOURS); x <= Math.min(columns - 1, column + NEIGHBOURS); x++) {
        const i = numbers[y * columns + x]!;
        if (i < 0 || counts[i] === 0) continue;
        near[count] = seen[i]! - fitted[i]!;
        levels[count++] = seen[i]!;
        doubts += doubt[i]!;
      }
    }
    if (count < 8) return 0;
    const typical = medianOf(near.subarray(0, count));
    if (Math.abs(typical) < doubts / count) return 0;
    const there = levels.subarray(0, count);
    return madSigma(there) < SOFT * Math.abs(medianOf(there)) + doubts / count ? typical : 0;
  });
  return {
    difference,
    grid: filledIn(numbers, difference, columns, rows),
    columns,
    rows,
    pitchX: blocks[0] ? blocks[0].x / (blocks[0].column + 0.5) : 1,
    pitchY: blocks[0] ? blocks[0].y / (blocks[0].row + 0.5) : 1,
  };
};

/** Rounds that carry a difference as far as the middle of a sitter. */
const FILL_ROUNDS = 40;

/** Where there is no wall to be seen, light goes on as it is around there: each place is the mean of those beside it. */
const filledIn = (numbers: Int32Array, difference: Float64Array, columns: number, rows: number): Float64Array => {
  const grid = new Float64Array(numbers.length);
  for (let at = 0; at < grid.length; at++) if (numbers[at]! >= 0) grid[at] = difference[numbers[at]!]!;
  for (let round = 0; round < FILL_ROUNDS; round++) {
    for (let row = 0, at = 0; row < rows; row++) {
      for (let column = 0; column < columns; column++, at++) {
        if (numbers[at]! >= 0) continue;
        const left = grid[column > 0 ? at - 1 : at]!;
        const right = grid[column < columns - 1 ? at + 1 : at]!;
        const above = grid[row > 0 ? at - columns : at]!;
        const below = grid[row < rows - 1 ? at + columns : at]!;
        grid[at] = (left + right + above + below) / 4;
      }
    }
  }
  return grid;
};

const localOf = ({grid, columns, rows}: LocalLight, column: number, row: number): number =>
  grid[Math.max(0, Math.min(rows - 1, row)) * columns + Math.max(0, Math.min(columns - 1, column))]!;

/** Between the blocks' middles, linearly. */
const localAt = (local: LocalLight, x: number, y: number): number => {
  const px = x / local.pitchX - 0.5;
  const py = y / local.pitchY - 0.5;
  const column = Math.floor(px);
  const row = Math.floor(py);
  const upper = localOf(local, column, row);
  const lower = localOf(local, column, row + 1);
  const top = upper + (px - column) * (localOf(local, column + 1, row) - upper);
  const bottom = lower + (px - column) * (localOf(local, column + 1, row + 1) - lower);
  return top + (py - row) * (bottom - top);
};

const partsAlong = (solution: Float64Array, places: Float64Array, low: number, high: number): Float64Array => {
  const out = new Float64Array(places.length);
  for (let at = 0; at < out.length; at++) {
    for (let n = 0; n < REACHES.length; n++) {
      const reach = REACHES[n]!;
      out[at] =
        out[at]! +
        solution[low + 4 * n]! * Math.exp(-places[at]! / reach) +
        solution[high + 4 * n]! * Math.exp(-(1 - places[at]!) / reach);
    }
  }
  return out;
};

/** New light on a grid of places in fractions of the frame, row by row, linear. */
export const softLightOn = ({solution, local, most}: SoftLight, xs: Float64Array, ys: Float64Array): Float32Array => {
  // Every part depends on one coordinate alone.
  const across = partsAlong(solution, xs, 1, 2);
  const down = partsAlong(solution, ys, 3, 4);
  const out = new Float32Array(xs.length * ys.length);
  const patches = PATCHES.flatMap((patch, n) => {
    const size = solution[NEW_LIGHT_TERMS + n]!;
    const along = (places: Float64Array, middle: number) => places.map(place => patchAlong(place, middle));
    return size > 0 ? [{size, across: along(xs, patch.x), down: along(ys, patch.y)}] : [];
  });
  for (let row = 0, at = 0; row < ys.length; row++) {
    for (let column = 0; column < xs.length; column++, at++) {
      let sum = solution[0]! + across[column]! + down[row]! + localAt(local, xs[column]!, ys[row]!);
      for (const patch of patches) sum += patch.size * patch.across[column]! * patch.down[row]!;
      // Where there is no wall nothing holds the sides' parts: no place is brighter than the brightest that was seen.
      out[at] = Math.max(0, Math.min(most, sum));
    }
  }
  return out;
};
