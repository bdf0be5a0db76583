import {MIDDLE_GREY} from '../curve/basis.js';
import {fineLight, fineTable, type ToneTable} from '../curve/tone-curve.js';
import {LUMA_B, LUMA_G, LUMA_R} from '../luma.js';
import {REGION, type RegionMap} from '../regions.js';
import {type NewLightGrid, newLightAt} from '../room/new-light-grid.js';
import type {WorkImage} from '../work-image.js';

/*
 * Which pixels may hold a trail's light, or tell what is usual about it. Most of a dark room needs no more looking at.
 */

/** A trail pixel's own light is above −3 EV around middle grey. */
export const TRAIL_LIGHT = 0.18 * 2 ** -3;
/** What light middle grey is at least, as a part of white, where a curve leaves no headroom. */
const MIDDLE = 0.11;

/** The same where a curve leaves headroom above middle grey: lines of less of its white show as brightly. */
export const trailLightBy = (curve: ToneTable): number => TRAIL_LIGHT * Math.min(1, curve[MIDDLE_GREY]! / MIDDLE);

/** Where there is as much new light on the wall, linear, what is typical of it is told there too: its pattern may show. */
export const PATTERNED = TRAIL_LIGHT / 8;
/** Squares along a frame (the root of both edges) that tell the usual misfit about the sitter. */
const LATTICE = 50;

/** Edge of the lattice's squares in pixels, on which what is usual about the sitter is told. */
export const latticeStep = (width: number, height: number): number =>
  Math.max(4, Math.round(Math.sqrt(width * height) / LATTICE));

/**
 * Pixels that are looked at: all of the head; elsewhere what is as bright as a trail, on the wall also brighter than new
 * light is there; and 3 × 3 pixels of every square of a lattice, whatever they hold, about the sitter and where new light may
 * show the wall's pattern.
 */
export const pixelsToExplain = (
  {width, height, r, g, b}: WorkImage,
  curve: ToneTable,
  regions: RegionMap,
  newLight: NewLightGrid,
): Int32Array => {
  const fine = fineTable(curve);
  const step = latticeStep(width, height);
  const trailLight = trailLightBy(curve);
  // A pixel is no brighter than its brightest channel is; most of the room needs no more looking at.
  let least = 0;
  while (least < 255 && curve[least + 1]! <= trailLight) least++;
  let out = new Int32Array(1 << 16);
  let count = 0;
  for (let y = 0, at = 0; y < height; y++) {
    const isRow = y % step < 3;
    for (let x = 0; x < width; x++, at++) {
      const region = regions[at]!;
      const isSample = isRow && x % step < 3 && (region !== REGION.wall || newLightAt(newLight, x, y) > PATTERNED);
      if (region !== REGION.head && !isSample) {
        if (r[at]! < least && g[at]! < least && b[at]! < least) continue;
        const light =
          LUMA_R * fineLight(fine, r[at]!) + LUMA_G * fineLight(fine, g[at]!) + LUMA_B * fineLight(fine, b[at]!);
        if (light <= trailLight) continue;
        if (region === REGION.wall && light <= newLightAt(newLight, x, y)) continue;
      }
      if (count === out.length) {
        const larger = new Int32Array(2 * count);
        larger.set(out);
        out = larger;
      }
      out[count++] = at;
    }
  }
  return out.subarray(0, count);
};
