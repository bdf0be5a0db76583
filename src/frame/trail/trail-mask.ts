import {REGION, type RegionMap} from '../regions.js';
import {connectedComponents} from './components.js';
import {dilated} from './dilate.js';
import type {Candidates} from './own-light.js';
import {lengthOf, type Shape, shapesOf} from './shapes.js';

/*
 * A trail is drawn: its light has edges, it runs on for some way, and where a pulsed lamp drew it, its dashes follow one
 * another closely. Candidates are therefore judged in groups of what lies close together.
 */

/** How far apart dashes of one trail may lie, and how long a trail is at least: parts of the frame's longer edge. */
const GAP = 0.026;
const LEAST_LENGTH = 0.03;
/** Least pixels of a group, and least pixels for its length: a few hot pixels in a row are fewer. */
const LEAST_PIXELS = 12;
const LEAST_DENSITY = 0.3;
/** Least part of certain pixels. */
const LEAST_CERTAIN = 0.1;
/** And of one that nowhere lies on the wall: a painted trail mostly does, a fringe of the sitter never. */
const CERTAIN_OFF_WALL = 0.6;
/** Least change of light from one pixel to the next: light that fell on the wall by itself has soft edges. */
const LEAST_SHARPNESS = 0.035;
/**
 * A group that runs on so far over the wall, or thinly beside the sitter, needs no certain pixel: a dim line shows as a
 * whole.
 */
const LONG = 0.12;
const THIN = 4;
/** A group that lies on the sitter alone must be this much longer. */
const ON_SITTER = 2.5;

/** Touching pixels that are fewer, and stand out by fewer σ altogether, are noise. */
const SPECK_PIXELS = 10;
const SPECK_SUM = 80;
const WALL_SPECK_PIXELS = 5;
const WALL_SPECK_SUM = 25;
/** Least part of certain pixels in a set on the sitter. */
const CERTAIN_ON_SITTER = 0.3;

const isDrawn = (shape: Shape, edge: number): boolean => {
  const length = lengthOf(shape);
  const least = LEAST_LENGTH * edge * (shape.offSitter > 0 ? 1 : ON_SITTER);
  const isThinBesideSitter = shape.offSitter > 0.9 * shape.pixels && shape.pixels <= THIN * length;
  const isLong = length >= LONG * edge && (shape.onWall > 0.5 * shape.pixels || isThinBesideSitter);
  const certain = isLong ? 0 : shape.onWall > 0 ? LEAST_CERTAIN : CERTAIN_OFF_WALL;
  return (
    length >= least &&
    shape.pixels >= Math.max(LEAST_PIXELS, LEAST_DENSITY * length) &&
    shape.certain >= (isLong ? 0 : Math.max(4, certain * shape.pixels)) &&
    shape.sharpness >= LEAST_SHARPNESS
  );
};

/**
 * Which labelled sets are too small, for how little they stand out, to be more than noise; and which on the sitter stand
 * out so little, however many, that they are no more than a misfit.
 */
const doubtful = ({mask, sure}: Candidates, labels: Int32Array, count: number, regions: RegionMap): boolean[] => {
  const pixels = new Int32Array(count);
  const sums = new Float64Array(count);
  const certain = new Int32Array(count);
  const onSitter = new Int32Array(count);
  const onWall = new Int32Array(count);
  for (let at = 0; at < mask.length; at++) {
    if (!mask[at]) continue;
    const set = labels[at]! - 1;
    pixels[set] = pixels[set]! + 1;
    sums[set] = sums[set]! + sure[at]!;
    if (mask[at] === 2) certain[set] = certain[set]! + 1;
    if (regions[at] === REGION.wall) onWall[set] = onWall[set]! + 1;
    if (regions[at] === REGION.head || regions[at] === REGION.body) onSitter[set] = onSitter[set]! + 1;
  }
  return Array.from(
    pixels,
    (n, set) =>
      (onWall[set]! > 0.5 * n
        ? n < WALL_SPECK_PIXELS && sums[set]! < WALL_SPECK_SUM
        : n < SPECK_PIXELS && sums[set]! < SPECK_SUM) ||
      (onSitter[set]! > 0.5 * n && certain[set]! < CERTAIN_ON_SITTER * n),
  );
};

/** The trail's pixels. */
export const trailMask = (candidates: Candidates, regions: RegionMap, width: number, height: number): Uint8Array => {
  const edge = Math.max(width, height);
  const parts = connectedComponents(candidates.mask, width, height, 8);
  const partShapes = shapesOf(candidates, parts.labels, parts.areas.length, regions, width, height);
  const joined = connectedComponents(dilated(candidates.mask, width, height, 1), width, height, 4);
  const isDoubtful = doubtful(candidates, joined.labels, joined.areas.length, regions);
  // Soft light is no part of a trail, however long the trail beside it.
  const kept = new Uint8Array(candidates.mask.length);
  for (let at = 0; at < kept.length; at++) {
    const label = parts.labels[at]!;
    if (label === 0 || isDoubtful[joined.labels[at]! - 1]) continue;
    const shape = partShapes[label - 1]!;
    if (shape.sharpness >= LEAST_SHARPNESS || shape.pixels < LEAST_PIXELS) kept[at] = candidates.mask[at]!;
  }
  const near = dilated(kept, width, height, Math.max(1, Math.round((GAP * edge) / 2)));
  const groups = connectedComponents(near, width, height, 4);
  const shapes = shapesOf({...candidates, mask: kept}, groups.labels, groups.areas.length, regions, width, height);
  const drawn = shapes.map(shape => isDrawn(shape, edge));
  const mask = new Uint8Array(kept.length);
  for (let at = 0; at < mask.length; at++) if (kept[at] && drawn[groups.labels[at]! - 1]) mask[at] = 1;
  return mask;
};
