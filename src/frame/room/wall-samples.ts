import {lightAt, type ToneTable} from '../curve/tone-curve.js';
import {meanAround, type Samples} from '../fit/samples.js';
import {LUMA_B, LUMA_G, LUMA_R} from '../luma.js';
import type {PixelEllipse} from '../pixel-ellipse.js';
import {bodyHalfWidth, REGION, type RegionMap} from '../regions.js';
import {MAD_TO_SIGMA, quantile} from '../robust.js';
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
  /** Squares like them that are looked past, since the sitter may move into them, but mostly are wall too: row by row. */
  beside: {y: number; xs: Float64Array}[];
  /** The places, as pixels of the work image. */
  places: Int32Array;
  dark: Float32Array[] | null;
  lights: Float32Array[][];
  /** How much more or less each block reflects than its surroundings, 1 on average; and each place. */
  reflectance: Float64Array;
  placeReflectance: Float32Array;
  /** The blocks that powers and curve are fitted to, with their mean code values on the plates. */
  fitted: {which: Int32Array; dark: Float64Array; lights: Float64Array[]; reflectance: Float64Array};
};

/** Squares across the frame's longer edge, and places along a square's edge. */
const ACROSS = 36;
const ALONG = 4;
export const PLACES = ALONG * ALONG;

const channels = ['r', 'g', 'b'] as const;

/** How far to either side shoulders and clothes mostly reach, in half heights of the head. */
const SHOULDERS = 2.4;

/** Squares beside the body, between where it mostly ends and where it may reach. */
const besideBody = (
  face: PixelEllipse,
  regions: RegionMap,
  size: number,
  width: number,
  height: number,
): WallPlates['beside'] => {
  const rows: WallPlates['beside'] = [];
  for (let y = size / 2; y + size / 2 <= height; y += size) {
    const half = bodyHalfWidth(face, y, SHOULDERS);
    if (half < 0) continue;
    const xs: number[] = [];
    for (let x = size / 2; x + size / 2 <= width; x += size) {
      const region = regions[Math.floor(y) * width + Math.floor(x)]!;
      if (region !== REGION.wall && region !== REGION.head && Math.abs(x - face.cx) > half) xs.push(x / width);
    }
    if (xs.length > 0) rows.push({y: y / height, xs: Float64Array.from(xs)});
  }
  return rows;
};

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
  face: PixelEllipse,
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
  const darkCodes = dark && pick(dark);
  const lightCodes = lights.map(pick);
  return {
    blocks,
    beside: besideBody(face, regions, size, width, height),
    places,
    dark: darkCodes,
    lights: lightCodes,
    fitted: fittedOf(blocks, darkCodes, lightCodes, reflected),
    reflectance: reflected,
    placeReflectance: Float32Array.from(places, at => reflectance[at]!),
  };
};

/** The same places in a frame, averaged over 3 × 3 pixels. */
export const wallFrame = (frame: WorkImage, {places}: WallPlates): Float32Array[] =>
  channels.map(channel => meansAt(frame[channel], frame, places));

const meansAt = (plane: Float32Array, {width, height}: WorkImage, places: Int32Array): Float32Array => {
  const out = new Float32Array(places.length);
  for (let n = 0; n < places.length; n++) {
    const x = places[n]! % width;
    out[n] = meanAround(plane, width, height, x, (places[n]! - x) / width);
  }
  return out;
};

/**
 * The wall's squares as samples for fitting: of the frame the median of each square's places, of the plates their mean.
 * @param seen code values of the frame at the wall's places
 * @param width and height: of the frame in pixels
 */
export const wallFitSamples = (
  {blocks, fitted}: WallPlates,
  seen: readonly Float32Array[],
  width: number,
  height: number,
  doubt: number,
): Samples => {
  const count = fitted.which.length;
  const frame = new Float64Array(3 * count);
  seen.forEach((plane, c) => {
    fitted.which.forEach((block, i) => {
      frame[c * count + i] = middleOf(order(plane, block * PLACES));
    });
  });
  return {
    count,
    xs: Float64Array.from(fitted.which, block => blocks[block]!.x * width),
    ys: Float64Array.from(fitted.which, block => blocks[block]!.y * height),
    frame,
    dark: fitted.dark,
    lights: fitted.lights,
    roughness: new Float64Array(3 * count),
    doubt: new Float64Array(3 * count).fill(doubt),
    reflected: Float64Array.from({length: 3 * count}, (_, i) => fitted.reflectance[i % count]!),
    group: new Uint8Array(count),
  };
};

/** Blocks that are enough to fit powers and curve to; of more, every other one counts, as on a chessboard. */
const ENOUGH_BLOCKS = 250;

/** The blocks that are fitted, and the plates' mean code values there, three channels after one another. */
const fittedOf = (
  blocks: readonly WallBlock[],
  dark: readonly Float32Array[] | null,
  lights: readonly (readonly Float32Array[])[],
  reflectance: Float64Array,
): WallPlates['fitted'] => {
  const all = [...blocks.keys()];
  const which = Int32Array.from(
    blocks.length > ENOUGH_BLOCKS ? all.filter(i => (blocks[i]!.column + blocks[i]!.row) % 2 === 0) : all,
  );
  const count = which.length;
  const means = (planes: readonly Float32Array[]): Float64Array => {
    const out = new Float64Array(3 * count);
    planes.forEach((plane, c) => {
      which.forEach((block, i) => {
        let sum = 0;
        for (let n = 0; n < PLACES; n++) sum += plane[block * PLACES + n]!;
        out[c * count + i] = sum / PLACES;
      });
    });
    return out;
  };
  return {
    which,
    dark: dark ? means(dark) : new Float64Array(3 * count),
    lights: lights.map(means),
    reflectance: Float64Array.from(which, block => reflectance[block]!),
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
  /** The brightest place of each, beyond plates and flashes. */
  most: Float64Array;
  /** Spread of the places of blocks that something else than the room's light lies on in part; else 0. */
  mixed: Float64Array;
};

/** Spread of a block's places that is more than noise, and than any soft light leaves; and its darkest places. */
const LEAST_MIXED = 0.0012;
const MIXED_PART = 0.3;
/** By how many times what is usual in the quieter half of the blocks it must exceed noise. */
const MIXED_NOISE = 6;
const DARKEST = 0.25;
/** By how much a pattern may make a block brighter than its typical places. */
const MOST_SHARE = 2;

/** The places of one block in order of their values. */
const ordered = new Float64Array(PLACES);
const order = (values: ArrayLike<number>, from = 0): Float64Array => {
  for (let n = 0; n < PLACES; n++) {
    const value = values[from + n]!;
    let at = n;
    for (; at > 0 && ordered[at - 1]! > value; at--) ordered[at] = ordered[at - 1]!;
    ordered[at] = value;
  }
  return ordered;
};
const middleOf = (sorted: Float64Array): number => 0.5 * (sorted[PLACES / 2 - 1]! + sorted[PLACES / 2]!);
/** The value below which a quarter of them lies. */
const quarterOf = (sorted: Float64Array): number => {
  const place = DARKEST * (PLACES - 1);
  const low = Math.floor(place);
  return sorted[low]! + (place - low) * (sorted[low + 1]! - sorted[low]!);
};
const apart = new Float64Array(PLACES);
/** Spread of a block's places around their middle, as σ of a normal distribution. */
const spreadAround = (values: Float64Array, middle: number): number => {
  for (let n = 0; n < PLACES; n++) apart[n] = Math.abs(values[n]! - middle);
  return MAD_TO_SIGMA * middleOf(order(apart));
};

const rangeOf = (values: Float64Array): number => {
  let [least, most] = [values[0]!, values[0]!];
  for (let n = 1; n < PLACES; n++) {
    const value = values[n]!;
    if (value < least) least = value;
    if (value > most) most = value;
  }
  return most - least;
};

/** How much the places of a block differ by noise: the lower quartile of all blocks, so that no trail counts. */
const placesNoise = (wall: WallPlates, seen: readonly Float32Array[], curve: ToneTable): number => {
  const lights = new Float64Array(PLACES);
  const spreads = new Float64Array(wall.blocks.length);
  for (let block = 0; block < spreads.length; block++) {
    lightsAt(seen[1]!, block, curve, lights);
    spreads[block] = spreadAround(lights, middleOf(order(lights)));
  }
  return spreads.length === 0 ? 0 : quantile(spreads, 0.25);
};

/** Light of one block's places. */
const lightsAt = (codes: Float32Array, block: number, curve: ToneTable, into: Float64Array): void => {
  const first = block * PLACES;
  for (let n = 0; n < PLACES; n++) into[n] = lightAt(curve, codes[first + n]!);
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
    most: new Float64Array(count),
    mixed: new Float64Array(count),
  };
  const weights = [LUMA_R, LUMA_G, LUMA_B];
  const luminance = new Float64Array(PLACES);
  const even = new Float64Array(PLACES);
  const darks = new Float64Array(PLACES);
  const flashes = new Float64Array(PLACES);
  const own = new Float64Array(PLACES);
  const channels = [new Float64Array(PLACES), new Float64Array(PLACES), new Float64Array(PLACES)];
  const noise = placesNoise(wall, seen, curve);
  const popped = [...wall.lights.keys()].filter(k => power[k]! > 0);
  const powers = Float64Array.from(popped, k => power[k]!);
  const spills = new Float64Array(popped.length);
  for (let block = 0; block < count; block++) {
    luminance.fill(0);
    spills.fill(0);
    let ofDark = 0;
    let ofFlash = 0;
    for (let c = 0; c < 3; c++) {
      const weight = weights[c]! / PLACES;
      const darkCodes = wall.dark ? wall.dark[c]! : null;
      const channel = channels[c]!;
      lightsAt(seen[c]!, block, curve, channel);
      if (darkCodes === null) darks.fill(0);
      else lightsAt(darkCodes, block, curve, darks);
      flashes.fill(0);
      for (let p = 0; p < powers.length; p++) {
        lightsAt(wall.lights[popped[p]!]![c]!, block, curve, own);
        let sum = spills[p]!;
        for (let n = 0; n < PLACES; n++) {
          const flash = powers[p]! * (own[n]! - darks[n]!);
          flashes[n] = flashes[n]! + flash;
          sum += weight * flash;
        }
        spills[p] = sum;
      }
      for (let n = 0; n < PLACES; n++) {
        const rest = channel[n]! - darks[n]! - flashes[n]!;
        channel[n] = rest;
        luminance[n] = luminance[n]! + weights[c]! * rest;
        ofDark += weight * darks[n]!;
        ofFlash += weight * flashes[n]!;
      }
    }
    for (let p = 0; p < popped.length; p++) out.flashOf[popped[p]!]![block] = spills[p]!;
    out.dark[block] = ofDark;
    out.flash[block] = ofFlash;
    const sorted = order(luminance);
    const middle = middleOf(sorted);
    const darkest = quarterOf(sorted);
    out.most[block] = sorted[PLACES - 1]!;
    for (let n = 0; n < PLACES; n++) {
      const value = luminance[n]!;
      const reflected = wall.placeReflectance[block * PLACES + n]! / wall.reflectance[block]!;
      out.standing[block] = Math.max(out.standing[block]!, value - 2 * Math.max(0, middle) * reflected);
      even[n] = value / Math.max(0.3, reflected);
    }
    const spread = spreadAround(luminance, middle);
    // Where the places differ by more than noise and the wall's own pattern, the darkest of them show the room's light.
    const least = Math.max(LEAST_MIXED, MIXED_NOISE * noise) + MIXED_PART * Math.max(0, middle);
    // Mostly all of them are so alike that nothing needs putting in order: half their range is the most the median can be off.
    const isMixed = MAD_TO_SIGMA * 0.5 * rangeOf(even) > least && spreadAround(even, middleOf(order(even))) > least;
    out.mixed[block] = isMixed ? spread : 0;
    const most = isMixed ? darkest : middle + 2.5 * spread + 1e-6;
    let kept = 0;
    let reflected = 0;
    for (let n = 0; n < PLACES; n++) {
      if (luminance[n]! > most) continue;
      kept++;
      reflected += wall.placeReflectance[block * PLACES + n]!;
      out.rest[block] = out.rest[block]! + luminance[n]!;
      for (let c = 0; c < 3; c++)
        out.restOf[c as 0 | 1 | 2][block] = out.restOf[c as 0 | 1 | 2][block]! + channels[c]![n]!;
    }
    // What was left out may be the wall's own brightest pattern: what was kept then stands for less than its share.
    const share = Math.max(1, Math.min(MOST_SHARE, (wall.reflectance[block]! * kept) / reflected));
    out.rest[block] = (out.rest[block]! * share) / kept;
    for (const plane of out.restOf) plane[block] = (plane[block]! * share) / kept;
  }
  return out;
};
