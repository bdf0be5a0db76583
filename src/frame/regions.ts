import type {PixelEllipse} from './pixel-ellipse.js';
import {bytes} from './scratch.js';

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

/** How far to either side the body may reach, in half heights of the head. */
const BODY_REACH = 2.6;

/**
 * Half the body's width at a height, in pixels; negative above it.
 * @param reach half the width of its widest, in half heights of the head
 */
export const bodyHalfWidth = (face: PixelEllipse, y: number, reach: number = BODY_REACH): number => {
  const below = y - (face.cy + 0.8 * face.ry);
  if (below < 0) return -1;
  return Math.min(reach * face.ry, face.rx + 2.2 * below);
};

/** Regions for a face ellipse in pixels. */
export const regionMap = (face: PixelEllipse, width: number, height: number): RegionMap => {
  const map = bytes(width * height);
  for (let y = 0; y < height; y++) {
    const row = y * width;
    const down = ((y - face.cy) / face.ry) ** 2;
    const fill = (half: number, region: number): void => {
      if (!(half >= 0)) return;
      const from = Math.max(0, Math.ceil(face.cx - half));
      const until = Math.min(width, Math.floor(face.cx + half) + 1);
      if (until > from) map.fill(region, row + from, row + until);
    };
    const body = bodyHalfWidth(face, y);
    fill(face.rx * Math.sqrt(NEAR_REACH ** 2 - down), REGION.near);
    if (body > 0) fill(body + 0.5 * face.ry, REGION.near);
    fill(body, REGION.body);
    fill(face.rx * Math.sqrt(HEAD_REACH ** 2 - down), REGION.head);
  }
  return map;
};
