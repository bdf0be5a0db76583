import type {WallBlock} from './wall-samples.js';

/** Light above a block's typical from which a trail passes it, linear; it also spoils neighbours from the others on. */
const PASSES = 0.0225;
const BESIDE = 0.06;
const FAR_BESIDE = 0.25;

const reachOf = (standing: number): number => {
  if (standing < PASSES) return -1;
  if (standing < BESIDE) return 0;
  return standing < FAR_BESIDE ? 1 : 2;
};

/** Blocks that no trail passes must be so large a part of all, and so many, to stand for the wall alone. */
const LEAST_CLEAR = 0.08;
const LEAST_CLEAR_BLOCKS = 15;

/**
 * Marks the blocks on which a trail lies, or the halo that the lens draws around a bright one. Where that leaves too few,
 * halos are put up with, and in the end the trail.
 * @param standing how far each block's brightest place stands above what is typical of it, linear
 * @returns 1 where it is so, one value a block
 */
export const drawnOver = (blocks: readonly WallBlock[], standing: Float64Array): Uint8Array => {
  for (const farthest of [2, 1, 0]) {
    const drawn = within(blocks, standing, farthest);
    const clear = drawn.reduce((sum, value) => sum + (value ? 0 : 1), 0);
    if (clear >= Math.max(LEAST_CLEAR_BLOCKS, LEAST_CLEAR * blocks.length)) return drawn;
  }
  return new Uint8Array(blocks.length);
};

const within = (blocks: readonly WallBlock[], standing: Float64Array, farthest: number): Uint8Array => {
  const columns = Math.max(0, ...blocks.map(({column}) => column)) + 1;
  const rows = Math.max(0, ...blocks.map(({row}) => row)) + 1;
  const grid = new Uint8Array(columns * rows);
  blocks.forEach(({column, row}, i) => {
    const reach = Math.min(farthest, reachOf(standing[i]!));
    for (let y = Math.max(0, row - reach); y <= Math.min(rows - 1, row + reach); y++) {
      for (let x = Math.max(0, column - reach); x <= Math.min(columns - 1, column + reach); x++)
        grid[y * columns + x] = 1;
    }
  });
  return Uint8Array.from(blocks, ({column, row}) => grid[row * columns + column]!);
};
