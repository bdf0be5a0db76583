import {LUMA_B, LUMA_G, LUMA_R} from '../luma.js';
import type {PixelLight} from '../pixel-light.js';
import {REGION, type RegionMap} from '../regions.js';
import {MAD_TO_SIGMA, medianOf} from '../robust.js';

/** A trail pixel's own light is above −3 EV around middle grey. */
export const TRAIL_LIGHT = 0.18 * 2 ** -3;

/** Candidates for the trail. */
export type Candidates = {
  /** 0: no; 1: its own light is above the trail's least; 2: and it stands out beyond doubt. */
  mask: Uint8Array;
  /** Luminance beyond what plates and new room light explain; 0 where the whole pixel is darker than a trail. */
  own: Float32Array;
};

/** New room light by place in pixels, linear luminance. */
export type NewLightAt = (x: number, y: number) => number;

/** What a misplaced head may do: the part of the plates' change around a pixel. */
const PLACE_PART = 0.35;
/** What a light's fitted power leaves open, as a part of its light. */
const POWER_PART = 0.025;
const LEAST_DOUBT = 0.0025;
const NEW_LIGHT_DOUBT = 0.2;
/** By how many σ of what is usual around it a pixel must stand out to begin a trail, and to go on with one. */
const BEGIN = 6;
const GO_ON = 2.5;
/** On the wall: the part of the flashes' spill, and of new room light, that a trail must exceed. */
const SPILL_PART = 0.25;
const NEW_LIGHT_PART = 0.4;

const sitterRegions = [REGION.near, REGION.head, REGION.body] as const;

const luminance = (values: Float32Array, i: number): number =>
  LUMA_R * values[3 * i]! + LUMA_G * values[3 * i + 1]! + LUMA_B * values[3 * i + 2]!;

/** How far a channel's rest may lie off without a trail, as one σ if all is usual. */
const doubtOf = (light: PixelLight, i: number, channel: number, newLight: number): number => {
  const expected = light.expected[3 * i + channel]!;
  const share = expected / Math.max(1e-4, luminance(light.expected, i));
  return (
    LEAST_DOUBT + POWER_PART * expected + PLACE_PART * light.rough[i]! * Math.min(3, share) + NEW_LIGHT_DOUBT * newLight
  );
};

/** How far the rest usually lies off about the sitter, in units of its doubt: by region, then channel. */
export type Usual = number[][];

/** @param sample pixels taken evenly from all over the sitter */
export const usualRest = (sample: PixelLight, regions: RegionMap, width: number, newLightAt: NewLightAt): Usual => {
  const sizes = [0, 1, 2, 3].map(() => [[], [], []] as number[][]);
  for (let i = 0; i < sample.at.length; i++) {
    const at = sample.at[i]!;
    const x = at % width;
    const newLight = newLightAt(x, (at - x) / width);
    for (let c = 0; c < 3; c++) {
      const off = (sample.rest[3 * i + c]! - newLight) / doubtOf(sample, i, c, newLight);
      sizes[regions[at]!]![c]!.push(Math.abs(off));
    }
  }
  return sizes.map(channels =>
    channels.map(values => (values.length > 20 ? Math.max(0.25, MAD_TO_SIGMA * medianOf(values)) : 1)),
  );
};

/** Picks the pixels whose own light may be a trail's. */
export const trailCandidates = (
  bright: PixelLight,
  usual: Usual,
  newLightAt: NewLightAt,
  reflectance: Float32Array,
  regions: RegionMap,
  width: number,
): Candidates => {
  const mask = new Uint8Array(regions.length);
  const own = new Float32Array(regions.length);
  for (let i = 0; i < bright.at.length; i++) {
    const at = bright.at[i]!;
    const x = at % width;
    const region = regions[at]!;
    const onWall = region === REGION.wall;
    const newLight = newLightAt(x, (at - x) / width) * (onWall ? reflectance[at]! : 1);
    const above = luminance(bright.rest, i) - newLight;
    own[at] = above;
    if (above <= TRAIL_LIGHT) continue;
    if (onWall) {
      if (above > SPILL_PART * luminance(bright.expected, i) + NEW_LIGHT_PART * newLight) mask[at] = 2;
      continue;
    }
    let most = 0;
    for (let c = 0; c < 3; c++) {
      const off = (bright.rest[3 * i + c]! - newLight) / doubtOf(bright, i, c, newLight) / usual[region]![c]!;
      if (off > most) most = off;
    }
    if (most > BEGIN) mask[at] = 2;
    else if (most > GO_ON) mask[at] = 1;
  }
  return {mask, own};
};

/** Pixels that may be a trail's: as bright as one. */
export const brightPixels = (luminances: Float32Array): Int32Array => {
  let count = 0;
  for (let at = 0; at < luminances.length; at++) if (luminances[at]! > TRAIL_LIGHT) count++;
  const out = new Int32Array(count);
  for (let at = 0, i = 0; at < luminances.length; at++) if (luminances[at]! > TRAIL_LIGHT) out[i++] = at;
  return out;
};

/** Pixels all over the sitter, `count` of each region or so. */
export const sitterSample = (regions: RegionMap, count: number): Int32Array => {
  const areas = [0, 0, 0, 0];
  for (let at = 0; at < regions.length; at++) areas[regions[at]!]!++;
  const steps = areas.map(area => Math.max(1, Math.floor(area / count)));
  const seen = [0, 0, 0, 0];
  const out: number[] = [];
  for (let at = 0; at < regions.length; at++) {
    const region = regions[at]!;
    if (!sitterRegions.some(other => other === region)) continue;
    if (seen[region]!++ % steps[region]! === 0) out.push(at);
  }
  return Int32Array.from(out);
};
