import {boxMean} from '../box-mean.js';
import {LUMA_B, LUMA_G, LUMA_R} from '../luma.js';
import type {PixelEllipse} from '../pixel-ellipse.js';
import type {PixelLight} from '../pixel-light.js';
import {REGION, type RegionMap} from '../regions.js';
import {MAD_TO_SIGMA, medianOf} from '../robust.js';
import {brightestAround, ridgeAt, ridgeDistances} from './ridge.js';

/** A trail pixel's own light is above −3 EV around middle grey. */
export const TRAIL_LIGHT = 0.18 * 2 ** -3;

/** Candidates for the trail. */
export type Candidates = {
  /** 0: no; 1: its own light is above the trail's least; 2: and it stands out beyond doubt. */
  mask: Uint8Array;
  /** Luminance beyond what plates and new room light explain; 0 on the wall where the whole pixel is darker than a trail. */
  own: Float32Array;
  /** By how many σ of what is usual a candidate stands out. */
  sure: Float32Array;
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
/** On the wall: σ, as parts of the flashes' spill and of new room light. */
const SPILL_DOUBT = 0.08;
const WALL_LIGHT_DOUBT = 0.12;
/** What is left of noise by a mean over 3 × 3 pixels: JPEG makes neighbours alike. */
const NOISE_LEFT = 0.5;
/** A line's part of its light by which it stands above both its sides. */
const RIDGE_PART = 0.35;
/** Light, linear, that is added on both sides before the rest is held against what was expected. */
const GAIN_FLOOR = 0.01;
/** The body doesn't stand in the light as the head does. */
const BODY_PART = 0.06;
/** How far the body moves against the head, as parts of the frame's longer edge; it begins so far down, in half heights. */
const BODY_MOVES = [0.003, 0.006, 0.01];
const CHIN = 0.8;
/** Pixels of each part of the sitter from which the usual misfit is told. */
const SITTER_SAMPLE = 1200;

const luminance = (values: Float32Array, i: number): number =>
  LUMA_R * values[3 * i]! + LUMA_G * values[3 * i + 1]! + LUMA_B * values[3 * i + 2]!;

/** How far a channel's rest may lie off without a trail, as one σ if all is usual. */
const doubtOf = (light: PixelLight, i: number, channel: number, newLight: number, isBody: boolean): number => {
  const expected = light.expected[3 * i + channel]!;
  const share = expected / Math.max(1e-4, luminance(light.expected, i));
  return (
    LEAST_DOUBT +
    NOISE_LEFT * light.noise[3 * i + channel]! +
    (isBody ? BODY_PART : POWER_PART) * expected +
    PLACE_PART * light.rough[i]! * Math.min(3, share) +
    NEW_LIGHT_DOUBT * newLight
  );
};

/** How far the rest usually lies off about the sitter, in units of its doubt: by region, then channel. */
type Usual = number[][];

/** The rest less new room light, by channel and as luminance, over the frame; 0 where it isn't known. */
type Rest = {channels: Float32Array[]; luminance: Float32Array};

const usualRest = (light: PixelLight, rest: Rest, regions: RegionMap, newLight: Float32Array): Usual => {
  const areas = [0, 0, 0, 0];
  for (const at of light.at) areas[regions[at]!]!++;
  const steps = areas.map(area => Math.max(1, Math.floor(area / SITTER_SAMPLE)));
  const seen = [0, 0, 0, 0];
  const sizes = [0, 1, 2, 3].map(() => [[], [], []] as number[][]);
  for (let i = 0; i < light.at.length; i++) {
    const at = light.at[i]!;
    const region = regions[at]!;
    if (region === REGION.wall || seen[region]!++ % steps[region]! !== 0) continue;
    for (let c = 0; c < 3; c++) {
      const off = rest.channels[c]![at]! / doubtOf(light, i, c, newLight[i]!, region === REGION.body);
      sizes[region]![c]!.push(Math.abs(off));
    }
  }
  return sizes.map(channels =>
    channels.map(values => (values.length > 20 ? Math.max(0.25, MAD_TO_SIGMA * medianOf(values)) : 1)),
  );
};

/** New room light on each pixel, as much as it reflects there. */
const newLightOn = (
  {at}: PixelLight,
  newLightAt: NewLightAt,
  reflectance: Float32Array,
  regions: RegionMap,
  width: number,
): Float32Array =>
  Float32Array.from(at, pixel => {
    const x = pixel % width;
    const light = newLightAt(x, (pixel - x) / width);
    // Beside the sitter it isn't known which of both a pixel is: there, and with it on all of the wall, the brighter counts,
    // since treated otherwise the border of the two would look like a line.
    const isWall = regions[pixel] === REGION.wall || regions[pixel] === REGION.near;
    return isWall ? light * Math.max(1, reflectance[pixel]!) : light;
  });

/**
 * Picks the pixels whose own light may be a trail's: light enough, more than misfit and noise usually leave, and higher
 * than both sides of it.
 * @param light all of the sitter, and the wall where it is bright
 * @param face where the head stands in this frame
 */
export const trailCandidates = (
  light: PixelLight,
  newLightAt: NewLightAt,
  reflectance: Float32Array,
  regions: RegionMap,
  face: PixelEllipse,
  width: number,
): Candidates => {
  const size = regions.length;
  const height = size / width;
  const own = new Float32Array(size);
  const raw = [0, 1, 2].map(() => new Float32Array(size));
  const newLight = newLightOn(light, newLightAt, reflectance, regions, width);
  for (let i = 0; i < light.at.length; i++) {
    const at = light.at[i]!;
    own[at] = luminance(light.rest, i) - newLight[i]!;
    for (let c = 0; c < 3; c++) raw[c]![at] = light.rest[3 * i + c]! - newLight[i]!;
  }
  const rest: Rest = {
    channels: raw.map(plane => boxMean(plane, width, height, 1)),
    luminance: boxMean(own, width, height, 1),
  };
  const usual = usualRest(light, rest, regions, newLight);
  const gains = new Float32Array(size);
  for (let i = 0; i < light.at.length; i++) {
    const at = light.at[i]!;
    const expected = Math.max(0, luminance(light.expected, i)) + newLight[i]! + GAIN_FLOOR;
    gains[at] = Math.log2(Math.max(0.1, 1 + rest.luminance[at]! / expected));
  }
  const distances = ridgeDistances(width, height);
  const chin = face.cy + CHIN * face.ry;
  const mayBeBody = (at: number): boolean =>
    regions[at] === REGION.body || (regions[at] === REGION.near && at / width > chin);
  const expected = new Float32Array(size);
  for (let i = 0; i < light.at.length; i++) expected[light.at[i]!] = luminance(light.expected, i);
  const luminances = (at: number): number => expected[at]! + rest.luminance[at]!;
  const bodyMoves = BODY_MOVES.map(part => part * Math.max(width, height));
  const mask = new Uint8Array(size);
  const sure = new Float32Array(size);
  for (let i = 0; i < light.at.length; i++) {
    const at = light.at[i]!;
    if (own[at]! <= TRAIL_LIGHT) continue;
    const region = regions[at]!;
    const above = rest.luminance[at]!;
    const gain = gains[at]!;
    let most = 0;
    const asWall = (spill: number): number =>
      above /
      (LEAST_DOUBT + NOISE_LEFT * luminance(light.noise, i) + SPILL_DOUBT * spill + WALL_LIGHT_DOUBT * newLight[i]!);
    if (region === REGION.wall) {
      const spill = luminance(light.expected, i);
      if (own[at]! <= SPILL_PART * spill + NEW_LIGHT_PART * newLight[i]!) continue;
      most = asWall(spill);
    } else {
      if (region === REGION.near && own[at]! <= NEW_LIGHT_PART * newLight[i]!) continue;
      for (let c = 0; c < 3; c++) {
        const off =
          rest.channels[c]![at]! / doubtOf(light, i, c, newLight[i]!, region === REGION.body) / usual[region]![c]!;
        if (off > most) most = off;
      }
      if (region === REGION.near) most = Math.min(most, asWall(0));
    }
    if (most <= GO_ON || ridgeAt(rest.luminance, width, height, at, distances) < RIDGE_PART * above) continue;
    // Light that fell otherwise than on the plates follows the pattern of what it fell on; a line does not.
    if (region !== REGION.wall && ridgeAt(gains, width, height, at, distances) < RIDGE_PART * gain) continue;
    if (mayBeBody(at) && brightestAround(expected, width, height, at, bodyMoves) >= luminances(at)) continue;
    mask[at] = most > BEGIN ? 2 : 1;
    sure[at] = most;
  }
  return {mask, own, sure};
};

/** Pixels that are looked at: all of the sitter, and of the wall what is as bright as a trail. */
export const pixelsToExplain = (luminances: Float32Array, regions: RegionMap): Int32Array => {
  const isOne = (at: number): boolean => regions[at] !== REGION.wall || luminances[at]! > TRAIL_LIGHT;
  let count = 0;
  for (let at = 0; at < luminances.length; at++) if (isOne(at)) count++;
  const out = new Int32Array(count);
  for (let at = 0, i = 0; at < luminances.length; at++) if (isOne(at)) out[i++] = at;
  return out;
};
