import {sampleAt} from '../bilinear.js';

/*
 * A drawn line is brighter than both of its sides, in some direction and at some distance. An edge, a slope, a patch of
 * soft light are not, however bright.
 */

/** Distances to either side, as parts of the frame's longer edge: from the thinnest line to a broad one. */
const DISTANCES = [0.0025, 0.005, 0.01, 0.02, 0.035];
const LEAST_DISTANCE = 2;
const DIRECTIONS = [0, 1, 2, 3].map(n => ({x: Math.cos((n * Math.PI) / 4), y: Math.sin((n * Math.PI) / 4)}));

/** Distances in pixels for a frame. */
export const ridgeDistances = (width: number, height: number): number[] => {
  const edge = Math.max(width, height);
  return DISTANCES.map(part => Math.max(LEAST_DISTANCE, part * edge)).filter((d, i, all) => i === 0 || d > all[i - 1]!);
};

/**
 * How far a pixel stands above the brighter of its two sides, in the direction and at the distance that show it best.
 * @param plane light, a little smoothed
 * @param distances in pixels
 */
export const ridgeAt = (
  plane: Float32Array,
  width: number,
  height: number,
  at: number,
  distances: readonly number[],
): number => {
  const x = at % width;
  const y = (at - x) / width;
  // Nothing is known of what lies beyond the frame's edge: the other side alone tells.
  const light = (px: number, py: number): number =>
    px < 0 || py < 0 || px > width - 1 || py > height - 1
      ? Number.NEGATIVE_INFINITY
      : sampleAt(plane, width, height, px, py);
  let lowest = Number.POSITIVE_INFINITY;
  for (const distance of distances) {
    for (const direction of DIRECTIONS) {
      const dx = distance * direction.x;
      const dy = distance * direction.y;
      const side = Math.max(light(x + dx, y + dy), light(x - dx, y - dy));
      if (side < lowest && side > Number.NEGATIVE_INFINITY) lowest = side;
    }
  }
  return plane[at]! - lowest;
};

/** The most light at these distances from a pixel, in eight directions. */
export const brightestAround = (
  plane: Float32Array,
  width: number,
  height: number,
  at: number,
  distances: readonly number[],
): number => {
  const x = at % width;
  const y = (at - x) / width;
  let most = 0;
  for (const distance of distances) {
    for (const {x: dx, y: dy} of DIRECTIONS) {
      for (const side of [-distance, distance]) {
        most = Math.max(most, sampleAt(plane, width, height, x + side * dx, y + side * dy));
      }
    }
  }
  return most;
};
