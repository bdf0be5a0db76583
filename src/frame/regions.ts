import {type PixelEllipse, radiiSquared} from './pixel-ellipse.js';

/*
 * Where in the frame things are to be expected: the head, the body below it, the surroundings in which they may move, and
 * the wall.
 */

export const REGION = {wall: 0, near: 1, head: 2, body: 3} as const;

/** One value of REGION a pixel. */
export type RegionMap = Uint8Array;

/** How far beyond the face ellipse hair and ears may reach, in radii; and how far the surroundings in which they move. */
const HEAD_REACH = 1.2;
const NEAR_REACH = 1.7;

/** Half the body's width at a height, in pixels; negative above it. */
const bodyHalfWidth = (face: PixelEllipse, y: number): number => {
  const below = y - (face.cy + 0.8 * face.ry);
  if (below < 0) return -1;
  return Math.min(2.6 * face.ry, face.rx + 2.2 * below);
};

/** Regions for a face ellipse in pixels. */
export const regionMap = (face: PixelEllipse, width: number, height: number): RegionMap => {
  const map = new Uint8Array(width * height);
  for (let y = 0, at = 0; y < height; y++) {
    const half = bodyHalfWidth(face, y);
    for (let x = 0; x < width; x++, at++) {
      const radii = radiiSquared(face, x, y);
      const aside = Math.abs(x - face.cx);
      if (radii <= HEAD_REACH ** 2) map[at] = REGION.head;
      else if (aside <= half) map[at] = REGION.body;
      else if (radii <= NEAR_REACH ** 2 || (half > 0 && aside <= half + 0.5 * face.ry)) map[at] = REGION.near;
    }
  }
  return map;
};
