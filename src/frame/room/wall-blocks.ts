import {REGION, type RegionMap} from '../regions.js';
import {medianOf} from '../robust.js';

/** The wall in squares: the median of each is undisturbed by a thin trail across it. */
export type WallBlock = {
  /** Middle, in fractions of the frame. */
  x: number;
  y: number;
  /** First pixel and size, in pixels. */
  left: number;
  top: number;
  size: number;
};

/** Squares across the frame's longer edge. */
const ACROSS = 36;

/** The squares that are wall nearly all over, clear of head, body and their surroundings. */
export const wallBlocks = (regions: RegionMap, width: number, height: number): WallBlock[] => {
  const size = Math.max(4, Math.round(Math.max(width, height) / ACROSS));
  const blocks: WallBlock[] = [];
  for (let top = 0; top + size <= height; top += size) {
    for (let left = 0; left + size <= width; left += size) {
      let wall = 0;
      for (let y = top; y < top + size; y++) {
        for (let x = left; x < left + size; x++) if (regions[y * width + x] === REGION.wall) wall++;
      }
      if (wall < 0.9 * size * size) continue;
      blocks.push({x: (left + size / 2) / width, y: (top + size / 2) / height, left, top, size});
    }
  }
  return blocks;
};

/** Median of a plane over each block (every second pixel of every second row). */
export const blockMedians = (blocks: readonly WallBlock[], plane: Float32Array, width: number): Float64Array =>
  Float64Array.from(blocks, ({left, top, size}) => {
    const values: number[] = [];
    for (let y = top; y < top + size; y += 2) {
      for (let x = left; x < left + size; x += 2) values.push(plane[y * width + x]!);
    }
    return medianOf(values);
  });

/** Mean of a plane over each block. */
export const blockMeans = (blocks: readonly WallBlock[], plane: Float32Array, width: number): Float64Array =>
  Float64Array.from(blocks, ({left, top, size}) => {
    let sum = 0;
    for (let y = top; y < top + size; y++) {
      for (let x = left; x < left + size; x++) sum += plane[y * width + x]!;
    }
    return sum / (size * size);
  });
