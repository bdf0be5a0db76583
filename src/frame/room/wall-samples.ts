import {lightAt, type ToneTable} from '../curve/tone-curve.js';
import {meanAround, type Samples} from '../fit/samples.js';
import {LUMA_B, LUMA_G, LUMA_R} from '../luma.js';
import {REGION, type RegionMap} from '../regions.js';
import {MAD_TO_SIGMA, madSigma, medianOf, quantile} from '../robust.js';
import type {WorkImage} from '../work-image.js';

/*
 * The wall in squares, each looked at in a few places. What is typical of a square is undisturbed by a thin trail across
 * it. Only code values are kept, so that another tone curve or other powers cost little.
 */

/** A square's middle, in fractions of the frame. */
export type WallBlock = {x: number; y: number; column: number; row: number};

/** The wall on the plates: code values (0 to 255) by channel (r, g, b), then block by block, PLACES each. */
export type WallPlates = {
  blocks: WallBlock[];
  /** The places, as pixels of the work image. */
  places: Int32Array;
  dark: Float32Array[] | null;
  lights: Float32Array[][];
  /** How much more or less each block reflects than its surroundings, 1 on average; and each place. */
  reflectance: Float64Array;
  placeReflectance: Float32Array;
};

/** Squares across the frame's longer edge, and places along a square's edge. */
const ACROSS = 36;
const ALONG = 4;
export const PLACES = ALONG * ALONG;

const channels = ['r', 'g', 'b'] as const;

/**
 * Finds the squares that are wall nearly all over, clear of head, body and their surroundings.
 * @param dark and lights: smoothed by a mean over 3 × 3 pixels
 * @param reflectance relative reflectance of every pixel
 */
export const wallPlates = (
  dark: WorkImage | null,
  lights: readonly WorkImage[],
  reflectance: Float32Array,
  regions: RegionMap,
  width: number,
  height: number,
): WallPlates => {
  const size = Math.max(4, Math.round(Math.max(width, height) / ACROSS));
  const blocks: WallBlock[] = [];
  const found: number[] = [];
  for (let top = 0; top + size <= height; top += size) {
    for (let left = 0; left + size <= width; left += size) {
      const own: number[] = [];
      let wall = 0;
      for (let n = 0; n < PLACES; n++) {
        const x = left + Math.floor((((n % ALONG) + 0.5) * size) / ALONG);
        const y = top + Math.floor(((Math.floor(n / ALONG) + 0.5) * size) / ALONG);
        own.push(y * width + x);
        if (regions[y * width + x] === REGION.wall) wall++;
      }
      if (wall < 0.9 * PLACES) continue;
      blocks.push({
        x: (left + size / 2) / width,
        y: (top + size / 2) / height,
        column: Math.floor(left / size),
        row: Math.floor(top / size),
      });
      found.push(...own);
    }
  }
  const places = Int32Array.from(found);
  const pick = (image: WorkImage): Float32Array[] =>
    channels.map(channel => Float32Array.from(places, at => image[channel][at]!));
  const reflected = new Float64Array(blocks.length);
  places.forEach((at, n) => {
    const block = Math.floor(n / PLACES);
    reflected[block] = reflected[block]! + reflectance[at]! / PLACES;
  });
  return {
    blocks,
    places,
    dark: dark && pick(dark),
    lights: lights.map(pick),
    reflectance: reflected,
    placeReflectance: Float32Array.from(places, at => reflectance[at]!),
  };
};

/** The same places in a frame, averaged over 3 × 3 pixels. */
export const wallFrame = (frame: WorkImage, {places}: WallPlates): Float32Array[] =>
  channels.map(channel =>
    Float32Array.from(places, at =>
      meanAround(frame[channel], frame.width, frame.height, at % frame.width, Math.floor(at / frame.width)),
    ),
  );

/**
 * The wall's squares as samples for fitting: of the frame the median of each square's places, of the plates their mean.
 * @param seen code values of the frame at the wall's places
 * @param width and height: of the frame in pixels
 */
export const wallFitSamples = (
  wall: WallPlates,
  seen: readonly Float32Array[],
  width: number,
  height: number,
  doubt: number,
): Samples => {
  const count = wall.blocks.length;
  const means = (planes: readonly Float32Array[]): Float64Array => {
    const out = new Float64Array(3 * count);
    planes.forEach((plane, c) => {
      for (let at = 0; at < plane.length; at++) {
        const block = c * count + Math.floor(at / PLACES);
        out[block] = out[block]! + plane[at]! / PLACES;
      }
    });
    return out;
  };
  const frame = new Float64Array(3 * count);
  seen.forEach((plane, c) => {
    for (let block = 0; block < count; block++) {
      frame[c * count + block] = medianOf(plane.subarray(block * PLACES, (block + 1) * PLACES));
    }
  });
  return {
    count,
    xs: Float64Array.from(wall.blocks, ({x}) => x * width),
    ys: Float64Array.from(wall.blocks, ({y}) => y * height),
    frame,
    dark: wall.dark ? means(wall.dark) : new Float64Array(3 * count),
    lights: wall.lights.map(means),
    roughness: new Float64Array(3 * count),
    doubt: new Float64Array(3 * count).fill(doubt),
    group: new Uint8Array(count),
  };
};

/** Linear light of each block. */
export type WallLight = {
  /** The dark plate's, luminance. */
  dark: Float64Array;
  /** What the lights add on their plates, in their powers, together and one by one; luminance. */
  flash: Float64Array;
  flashOf: Float64Array[];
  /** What is typical of the frame beyond both, luminance and by channel; may be a little negative by noise. */
  rest: Float64Array;
  restOf: [Float64Array, Float64Array, Float64Array];
  /** How far the brightest place of each block stands above what is typical of it: where a trail passes. */
  standing: Float64Array;
  /** Spread of the places of blocks that something else than the room's light lies on in part; else 0. */
  mixed: Float64Array;
};

/** Spread of a block's places that is more than noise, and than any soft light leaves; and its darkest places. */
const LEAST_MIXED = 0.0012;
const MIXED_PART = 0.3;
/** By how many times what is usual in the quieter half of the blocks it must exceed noise. */
const MIXED_NOISE = 6;
const DARKEST = 0.25;

/** How much the places of a block differ by noise: the lower quartile of all blocks, so that no trail counts. */
const placesNoise = (wall: WallPlates, seen: readonly Float32Array[], curve: ToneTable): number => {
  const green = seen[1]!;
  const spreads = wall.blocks.map((_, block) =>
    madSigma(Float64Array.from(green.subarray(block * PLACES, (block + 1) * PLACES), code => lightAt(curve, code))),
  );
  return spreads.length === 0 ? 0 : quantile(spreads, 0.25);
};

/**
 * @param seen code values of the frame at the wall's places
 * @param power each light's power, linear
 */
export const wallLight = (
  wall: WallPlates,
  seen: readonly Float32Array[],
  curve: ToneTable,
  power: ArrayLike<number>,
): WallLight => {
  const count = wall.blocks.length;
  const out: WallLight = {
    dark: new Float64Array(count),
    flash: new Float64Array(count),
    flashOf: wall.lights.map(() => new Float64Array(count)),
    rest: new Float64Array(count),
    restOf: [new Float64Array(count), new Float64Array(count), new Float64Array(count)],
    standing: new Float64Array(count),
    mixed: new Float64Array(count),
  };
  const weights = [LUMA_R, LUMA_G, LUMA_B];
  const luminance = new Float64Array(PLACES);
  const channels = [new Float64Array(PLACES), new Float64Array(PLACES), new Float64Array(PLACES)];
  const noise = placesNoise(wall, seen, curve);
  for (let block = 0; block < count; block++) {
    luminance.fill(0);
    for (let c = 0; c < 3; c++) {
      for (let n = 0; n < PLACES; n++) {
        const at = block * PLACES + n;
        const dark = wall.dark ? lightAt(curve, wall.dark[c]![at]!) : 0;
        let flash = 0;
        for (let k = 0; k < wall.lights.length; k++) {
          if (!(power[k]! > 0)) continue;
          const own = power[k]! * (lightAt(curve, wall.lights[k]![c]![at]!) - dark);
          flash += own;
          out.flashOf[k]![block] = out.flashOf[k]![block]! + (weights[c]! * own) / PLACES;
        }
        const rest = lightAt(curve, seen[c]![at]!) - dark - flash;
        channels[c]![n] = rest;
        luminance[n] = luminance[n]! + weights[c]! * rest;
        out.dark[block] = out.dark[block]! + (weights[c]! * dark) / PLACES;
        out.flash[block] = out.flash[block]! + (weights[c]! * flash) / PLACES;
      }
    }
    const middle = medianOf(luminance);
    const even = luminance.map((value, n) => {
      const reflected = wall.placeReflectance[block * PLACES + n]! / wall.reflectance[block]!;
      out.standing[block] = Math.max(out.standing[block]!, value - 2 * Math.max(0, middle) * reflected);
      return value / Math.max(0.3, reflected);
    });
    const spread = MAD_TO_SIGMA * medianOf(luminance.map(value => Math.abs(value - middle)));
    // Where the places differ by more than noise and the wall's own pattern, the darkest of them show the room's light.
    const isMixed = madSigma(even) > Math.max(LEAST_MIXED, MIXED_NOISE * noise) + MIXED_PART * Math.max(0, middle);
    out.mixed[block] = isMixed ? spread : 0;
    const most = isMixed ? quantile(luminance, DARKEST) : middle + 2.5 * spread + 1e-6;
    let kept = 0;
    for (let n = 0; n < PLACES; n++) {
      if (luminance[n]! > most) continue;
      kept++;
      out.rest[block] = out.rest[block]! + luminance[n]!;
      for (let c = 0; c < 3; c++)
        out.restOf[c as 0 | 1 | 2][block] = out.restOf[c as 0 | 1 | 2][block]! + channels[c]![n]!;
    }
    out.rest[block] = out.rest[block]! / kept;
    for (const plane of out.restOf) plane[block] = plane[block]! / kept;
  }
  return out;
};
