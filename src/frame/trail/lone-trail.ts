import {boxMean} from '../box-mean.js';
import {REGION, type RegionMap} from '../regions.js';
import {quantile} from '../robust.js';
import {bytes, floats, integers} from '../scratch.js';
import type {Candidates} from './own-light.js';
import {TRAIL_LIGHT} from './where-to-look.js';

/*
 * Without plates, what a drawn line is can only be told on a dark wall, from standing out of what surrounds it. On the
 * sitter nothing can be told.
 */

/** The wall must be this dark, linear (−4 EV), over most of it. */
const DARK_WALL = 0.18 / 16;
const MOST = 0.7;
/** How far around a pixel its surroundings reach, as a part of the longer edge, and by how much it must exceed them. */
const SURROUNDINGS = 0.04;
const ABOVE = 1.5;

/**
 * @param luminance linear, scene-referred
 * @returns null where the wall isn't dark enough to tell
 */
export const loneCandidates = (
  luminance: Float32Array,
  regions: RegionMap,
  width: number,
  height: number,
): Candidates | null => {
  const wall: number[] = [];
  for (let at = 0; at < luminance.length; at += 17) if (regions[at] === REGION.wall) wall.push(luminance[at]!);
  if (wall.length < 50 || !(quantile(wall, MOST) < DARK_WALL)) return null;
  const around = boxMean(luminance, width, height, Math.max(2, Math.round(SURROUNDINGS * Math.max(width, height))));
  const mask = bytes(luminance.length);
  const own = floats(luminance.length);
  const sure = floats(luminance.length);
  const pixels = integers(luminance.length);
  let found = 0;
  for (let at = 0; at < luminance.length; at++) {
    own[at] = luminance[at]! - Math.min(around[at]!, 0.5 * luminance[at]!);
    if (regions[at] !== REGION.wall && regions[at] !== REGION.near) continue;
    if (own[at]! > TRAIL_LIGHT && luminance[at]! > ABOVE * around[at]!) {
      mask[at] = 2;
      sure[at] = own[at]! / TRAIL_LIGHT;
      pixels[found++] = at;
    }
  }
  return {
    pixels: pixels.subarray(0, found),
    mask,
    own,
    sure,
    outline: bytes(luminance.length),
    outOfShadow: new Int32Array(0),
    uncovered: bytes(luminance.length),
    lines: null,
    headLight: 0,
    newLight: floats(luminance.length),
  };
};
