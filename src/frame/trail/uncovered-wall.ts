import {type PixelEllipse, radiiSquared} from '../pixel-ellipse.js';
import type {PixelLight} from '../pixel-light.js';
import {REGION, type RegionMap} from '../regions.js';
import {DIRECTIONS, movesUpTo} from './moved-shadow.js';

/*
 * On the side from which the sitter moved away, wall comes into sight that was hidden on every plate. How bright the
 * flashes make it no plate tells, but the wall close by does: what is no brighter than that is no line.
 */

/** How far the head moved against the plates, in pixels. */
export type Moved = {dx: number; dy: number};

/** Within this part of the face ellipse's radii no wall comes into sight. */
const NO_WALL = 0.75;
/** From what was uncovered it is so many times the head's own movement, and so many pixels more, to the wall and the sitter. */
const BY = 2;
const MORE = 3;
/** How many times as bright as the wall close by uncovered wall may be. */
const AS_BRIGHT = 1.3;

/** How far away such wall is looked for: so many times the head's movement, and a part of the frame's longer edge. */
const CLOSE_BY = 3;
const LEAST_CLOSE_BY = 0.007;

/** How far away wall is looked for that tells how bright uncovered wall is, in pixels. */
export const wallMovesFor = ({dx, dy}: Moved, width: number, height: number): number[] =>
  movesUpTo(CLOSE_BY * Math.hypot(dx, dy) + LEAST_CLOSE_BY * Math.max(width, height));

/** On the side from which the head moved away; below the chin only across, since shoulders are wide. */
const isBehind = (face: PixelEllipse, {dx, dy}: Moved, x: number, y: number): boolean => {
  if (radiiSquared(face, x, y) < NO_WALL ** 2) return false;
  const across = ((x - face.cx) / face.rx) * dx;
  const down = (y - face.cy) / face.ry;
  return (down > 1 ? across : across + down * dy) < 0;
};

/** What a place shows: 0 where that isn't known, since it is dark. */
const SHOWS = {unknown: 0, wall: 1, sitter: 2} as const;

const shownAt = (isWall: Uint8Array, region: number, i: number): number => {
  if (region === REGION.wall) return SHOWS.wall;
  if (i >= 0) return isWall[i] === 1 ? SHOWS.wall : SHOWS.sitter;
  return region === REGION.near ? SHOWS.unknown : SHOWS.sitter;
};

/**
 * Whether a pixel may show wall that the sitter hid on the plates: wall where the sitter came from, the sitter where it
 * went, and wall close by that the flashes make as bright.
 * @param order where each pixel of the frame stands among those of the light, from 1 on; 0 for the others
 * @param i which of them
 * @param moves how far away wall is looked for, in pixels
 */
export const mayBeUncovered = (
  {at, expected, rest, isWall}: PixelLight,
  order: Int32Array,
  regions: RegionMap,
  face: PixelEllipse,
  moved: Moved,
  moves: readonly number[],
  width: number,
  i: number,
): boolean => {
  const height = regions.length / width;
  const x = at[i]! % width;
  const y = (at[i]! - x) / width;
  if (!isBehind(face, moved, x, y)) return false;
  const by = BY + MORE / Math.max(1, Math.hypot(moved.dx, moved.dy));
  const from = placeAt(x - by * moved.dx, y - by * moved.dy, width, height);
  const to = placeAt(x + by * moved.dx, y + by * moved.dy, width, height);
  if (from < 0 || to < 0) return false;
  if (shownAt(isWall, regions[from]!, order[from]! - 1) === SHOWS.sitter) return false;
  if (shownAt(isWall, regions[to]!, order[to]! - 1) === SHOWS.wall) return false;
  for (let n = 0; n < DIRECTIONS.length; n++) {
    const direction = DIRECTIONS[n]!;
    for (let m = 0; m < moves.length; m++) {
      const place = placeAt(x + moves[m]! * direction.x, y + moves[m]! * direction.y, width, height);
      const j = place < 0 ? -1 : order[place]! - 1;
      if (j >= 0 && isWall[j] === 1 && isAsBright(expected, rest, i, j)) return true;
    }
  }
  return false;
};

/** The pixel nearest to a place; −1 outside the frame. */
const placeAt = (x: number, y: number, width: number, height: number): number => {
  const px = Math.round(x);
  const py = Math.round(y);
  return px < 0 || py < 0 || px >= width || py >= height ? -1 : py * width + px;
};

const isAsBright = (expected: Float32Array, rest: Float32Array, i: number, j: number): boolean => {
  for (let c = 0; c < 3; c++) {
    if (expected[3 * i + c]! + rest[3 * i + c]! > AS_BRIGHT * expected[3 * j + c]!) return false;
  }
  return true;
};
