import {boxMean} from '../box-mean.js';
import {REGION, type RegionMap} from '../regions.js';
import {fitNewLight} from './new-light.js';
import {newLightAt, newLightGrid} from './new-light-grid.js';
import type {WallBlock} from './wall-samples.js';

/*
 * A pale sleeve, a helmet, a shirt shows more of the room's light than the wall behind it, and so will it of a leak's. By
 * how much the dark plate tells, on which the same room's light lies on both.
 */

/** Light, linear, that eight bits leave open: what is darker says little. */
const FLOOR = 0.0015;
const MOST = 6;
/** Over how far, likewise, what is broad is averaged: the wall's own pattern isn't. */
const BROAD = 0.004;
/** How far an edge may lie off by the sitter's moving, as a part of the frame's longer edge. */
const MOVES = 0.012;

/**
 * How many times as much as the wall each pixel reflects of the room's own light, 1 to 6, the most of those close by: of
 * everything, and of what is broad.
 */
export type DarkShare = {fine: Float32Array; broad: Float32Array};

/**
 * How many times as much as the wall a pixel about the sitter or beside them reflects of the room's own light.
 * @param dark luminance on the dark plate, linear
 * @param blocks of the wall, and their `places` (PLACES each) in the plane
 * @returns 1 on the head and where nothing is known
 */
export const darkShare = (
  dark: Float32Array,
  blocks: readonly WallBlock[],
  places: Int32Array,
  regions: RegionMap,
  width: number,
  height: number,
): DarkShare => {
  if (blocks.length === 0) return noShare(dark.length);
  const each = places.length / blocks.length;
  const seen = Float64Array.from(blocks, (_, i) => {
    let sum = 0;
    for (let n = 0; n < each; n++) sum += dark[places[i * each + n]!]!;
    return sum / each;
  });
  const doubt = seen.map(light => 0.0003 + 0.05 * light);
  const grid = newLightGrid(fitNewLight(blocks, seen, doubt, [], new Uint8Array(blocks.length)), width, height);
  const edge = Math.max(width, height);
  const reach = Math.max(1, Math.round(MOVES * edge));
  const shareOf = (radius: number): Float32Array => {
    const soft = boxMean(dark, width, height, radius);
    for (let y = 0, at = 0; y < height; y++) {
      for (let x = 0; x < width; x++, at++) {
        const times = (soft[at]! + FLOOR) / (newLightAt(grid, x, y) + FLOOR);
        soft[at] = Math.max(1, Math.min(MOST, times));
      }
    }
    const most = mostAround(soft, width, height, reach);
    for (let at = 0; at < most.length; at++) if (regions[at] === REGION.head) most[at] = 1;
    return most;
  };
  return {fine: shareOf(1), broad: shareOf(Math.max(1, Math.round(BROAD * edge)))};
};

/** Where nothing is known. */
export const noShare = (size: number): DarkShare => {
  const ones = new Float32Array(size).fill(1);
  return {fine: ones, broad: ones};
};

/** The most in a square about every pixel. */
const mostAround = (plane: Float32Array, width: number, height: number, reach: number): Float32Array => {
  const across = new Float32Array(plane.length);
  for (let y = 0, at = 0; y < height; y++) {
    for (let x = 0; x < width; x++, at++) {
      let most = 0;
      const [from, until] = [at - Math.min(x, reach), at + Math.min(width - 1 - x, reach)];
      for (let other = from; other <= until; other++) if (plane[other]! > most) most = plane[other]!;
      across[at] = most;
    }
  }
  const out = new Float32Array(plane.length);
  for (let y = 0; y < height; y++) {
    for (let other = Math.max(0, y - reach); other <= Math.min(height - 1, y + reach); other++) {
      for (let x = 0; x < width; x++) {
        const value = across[other * width + x]!;
        if (value > out[y * width + x]!) out[y * width + x] = value;
      }
    }
  }
  return out;
};
