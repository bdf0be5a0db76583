import {sampleAt} from '../bilinear.js';
import {REGION, type RegionMap} from '../regions.js';

/*
 * A drawn line is brighter than both of its sides, in some direction and at some distance. An edge, a slope, a patch of
 * soft light are not, however bright.
 */

/** Distances to either side, as parts of the frame's longer edge: from the thinnest line to a broad one. */
const DISTANCES = [0.0025, 0.005, 0.01, 0.02, 0.035];
const LEAST_DISTANCE = 2;
/** And for a band of light that a tube or a stick draws when it is swept sideways. */
const BAND_DISTANCES = [...DISTANCES, 0.06, 0.1];
const DIRECTIONS = [0, 1, 2, 3].map(n => ({x: Math.cos((n * Math.PI) / 4), y: Math.sin((n * Math.PI) / 4)}));

/** Distances in pixels for a frame; for a line, or also for a band. */
export const ridgeDistances = (width: number, height: number, isBand = false): number[] => {
  const edge = Math.max(width, height);
  return (isBand ? BAND_DISTANCES : DISTANCES)
    .map(part => Math.max(LEAST_DISTANCE, part * edge))
    .filter((d, i, all) => i === 0 || d > all[i - 1]!);
};

/**
 * Whether a pixel stands above the brighter of its two sides by so much, in some direction and at some distance.
 * @param plane light, a little smoothed
 * @param distances in pixels
 * @param by in the plane's own terms
 * @param regions given where the plane says nothing of the wall
 */
export const standsOut = (
  plane: Float32Array,
  width: number,
  height: number,
  at: number,
  distances: readonly number[],
  by: number,
  regions?: RegionMap,
): boolean => {
  const x = at % width;
  const y = (at - x) / width;
  const most = plane[at]! - by;
  const ways = distances.length * DIRECTIONS.length;
  for (let tried = 0; tried < ways; tried++) {
    // Where its neighbour did, a pixel mostly stands out too.
    const way = (lastWay + tried) % ways;
    const direction = DIRECTIONS[way % DIRECTIONS.length]!;
    const distance = distances[(way / DIRECTIONS.length) | 0]!;
    const dx = distance * direction.x;
    const dy = distance * direction.y;
    // Nothing is known of what lies beyond the frame's edge: the other side alone tells.
    const isOne = isKnown(width, height, x + dx, y + dy, regions);
    const isOther = isKnown(width, height, x - dx, y - dy, regions);
    if (!isOne && !isOther) continue;
    if (isOne && sampleAt(plane, width, height, x + dx, y + dy) > most) continue;
    if (isOther && sampleAt(plane, width, height, x - dx, y - dy) > most) continue;
    lastWay = way;
    return true;
  }
  return false;
};

/** Which distance and direction are tried first; the answer doesn't depend on it. */
let lastWay = 0;

const isKnown = (width: number, height: number, x: number, y: number, regions?: RegionMap): boolean =>
  x >= 0 &&
  y >= 0 &&
  x <= width - 1 &&
  y <= height - 1 &&
  (regions === undefined || regions[Math.round(y) * width + Math.round(x)] !== REGION.wall);

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
  for (let d = 0; d < distances.length; d++) {
    for (let n = 0; n < DIRECTIONS.length; n++) {
      const dx = distances[d]! * DIRECTIONS[n]!.x;
      const dy = distances[d]! * DIRECTIONS[n]!.y;
      most = Math.max(
        most,
        sampleAt(plane, width, height, x + dx, y + dy),
        sampleAt(plane, width, height, x - dx, y - dy),
      );
    }
  }
  return most;
};

/** Reach of the mean that is taken of a plane that says nothing of the wall. */
const SMOOTH = 2;

/** The mean of 5 × 5 pixels that aren't wall. */
const meanOffWall = (
  plane: Float32Array,
  regions: RegionMap,
  width: number,
  height: number,
  x: number,
  y: number,
): number => {
  let sum = 0;
  let count = 0;
  for (let row = Math.max(0, y - SMOOTH); row <= Math.min(height - 1, y + SMOOTH); row++) {
    for (let column = Math.max(0, x - SMOOTH); column <= Math.min(width - 1, x + SMOOTH); column++) {
      if (regions[row * width + column] === REGION.wall) continue;
      sum += plane[row * width + column]!;
      count++;
    }
  }
  return count === 0 ? 0 : sum / count;
};

/**
 * The same for a plane that says nothing of the wall, averaged over 5 × 5 pixels: fine detail that doesn't lie quite where
 * it was expected doesn't count.
 * @param distances in pixels
 * @param part of what the pixel holds by which it must stand above its sides
 */
export const standsOutSmoothed = (
  plane: Float32Array,
  regions: RegionMap,
  width: number,
  height: number,
  at: number,
  distances: readonly number[],
  part: number,
): boolean => {
  const x = at % width;
  const y = (at - x) / width;
  const most = (1 - part) * meanOffWall(plane, regions, width, height, x, y);
  for (const distance of distances) {
    if (distance <= 2 * SMOOTH) continue;
    for (const direction of DIRECTIONS) {
      const dx = Math.round(distance * direction.x);
      const dy = Math.round(distance * direction.y);
      const isOne = isKnown(width, height, x + dx, y + dy, regions);
      const isOther = isKnown(width, height, x - dx, y - dy, regions);
      if (!isOne && !isOther) continue;
      if (isOne && meanOffWall(plane, regions, width, height, x + dx, y + dy) > most) continue;
      if (isOther && meanOffWall(plane, regions, width, height, x - dx, y - dy) > most) continue;
      return true;
    }
  }
  return false;
};
