import {nonNegativeLeastSquares} from '../fit/nnls.js';
import {biweight, MAD_TO_SIGMA, medianOf} from '../robust.js';
import type {WallBlock} from './wall-samples.js';

/*
 * Light that wasn't there when the plates were taken lies broadly over the wall. It is described by an even part and by
 * parts that fall off from each side, slowly or fast, found by robust non-negative least squares from the wall's
 * squares: a trail, however bright, is narrow and stays an outlier.
 */

export type NewLight = {
  /** New light at a place in fractions of the frame, linear. */
  at(x: number, y: number): number;
  /** New light of each block: what was seen where it fits, what fits where it doesn't. */
  blocks: Float64Array;
  /** How well each block fits, 0 (an outlier) to 1. */
  weights: Float64Array;
};

/** How far each part reaches, as the fraction of the frame over which it falls to 1/e. */
const REACHES = [0.07, 0.22, 0.7];
const TERMS = 1 + 4 * REACHES.length;

const basisAt = (x: number, y: number, into: Float64Array): void => {
  into[0] = 1;
  REACHES.forEach((reach, n) => {
    into[1 + 4 * n] = Math.exp(-x / reach);
    into[2 + 4 * n] = Math.exp(-(1 - x) / reach);
    into[3 + 4 * n] = Math.exp(-y / reach);
    into[4 + 4 * n] = Math.exp(-(1 - y) / reach);
  });
};

/**
 * @param seen new light of each block, linear; may be a little negative by noise
 * @param doubt standard deviation of each, linear: noise, and what the flashes' spill there leaves uncertain
 */
export const fitNewLight = (blocks: readonly WallBlock[], seen: Float64Array, doubt: Float64Array): NewLight => {
  const basis = blocks.map(({x, y}) => {
    const row = new Float64Array(TERMS);
    basisAt(x, y, row);
    return row;
  });
  let weights = new Float64Array(blocks.length).fill(1);
  let solution = new Float64Array(TERMS);
  const fitted = new Float64Array(blocks.length);
  for (let round = 0; round < 8; round++) {
    const gram = new Float64Array(TERMS * TERMS);
    const moment = new Float64Array(TERMS);
    basis.forEach((row, i) => {
      const w = weights[i]! / (doubt[i]! + 0.15 * fitted[i]!) ** 2;
      for (let a = 0; a < TERMS; a++) {
        const wa = w * row[a]!;
        moment[a] = moment[a]! + wa * seen[i]!;
        for (let b = 0; b < TERMS; b++) gram[a * TERMS + b] = gram[a * TERMS + b]! + wa * row[b]!;
      }
    });
    for (let a = 0; a < TERMS; a++) gram[a * TERMS + a] = gram[a * TERMS + a]! * 1.0001 + 1e-12;
    solution = Float64Array.from(nonNegativeLeastSquares(gram, moment));
    const misfit = new Float64Array(blocks.length);
    basis.forEach((row, i) => {
      let sum = 0;
      for (let a = 0; a < TERMS; a++) sum += solution[a]! * row[a]!;
      fitted[i] = sum;
      misfit[i] = (seen[i]! - sum) / (doubt[i]! + 0.15 * sum);
    });
    const spread = Math.max(1, MAD_TO_SIGMA * medianOf(misfit.map(Math.abs)));
    weights = misfit.map(value => biweight(value, spread));
  }
  const row = new Float64Array(TERMS);
  return {
    at(x, y) {
      basisAt(x, y, row);
      let sum = 0;
      for (let a = 0; a < TERMS; a++) sum += solution[a]! * row[a]!;
      return sum;
    },
    blocks: seen.map((value, i) => weights[i]! * value + (1 - weights[i]!) * fitted[i]!),
    weights,
  };
};

/** New light over the whole frame, from a coarse grid. */
export const newLightPlane = (light: NewLight, width: number, height: number): Float32Array => {
  const step = 8;
  const columns = Math.ceil(width / step) + 1;
  const rows = Math.ceil(height / step) + 1;
  const grid = new Float32Array(columns * rows);
  for (let row = 0; row < rows; row++) {
    for (let column = 0; column < columns; column++) {
      grid[row * columns + column] = light.at((column * step + 0.5) / width, (row * step + 0.5) / height);
    }
  }
  const plane = new Float32Array(width * height);
  for (let y = 0, at = 0; y < height; y++) {
    const row = Math.floor(y / step);
    const fy = y / step - row;
    for (let x = 0; x < width; x++, at++) {
      const column = Math.floor(x / step);
      const fx = x / step - column;
      const corner = row * columns + column;
      const top = grid[corner]! + fx * (grid[corner + 1]! - grid[corner]!);
      const bottom = grid[corner + columns]! + fx * (grid[corner + columns + 1]! - grid[corner + columns]!);
      plane[at] = top + fy * (bottom - top);
    }
  }
  return plane;
};
