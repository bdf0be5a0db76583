import {codeNoise} from './code-noise.js';
import {MIDDLE_GREY} from './curve/basis.js';
import {type FineTable, fineLight, fineTable, type ToneTable} from './curve/tone-curve.js';
import {LUMA_B, LUMA_G, LUMA_R} from './luma.js';
import {type MostAbout, mostAboutAt} from './most-about.js';
import type {ActiveLight} from './pixel-light.js';
import type {PreparedPlates} from './prepared-plates.js';
import {REGION, type RegionMap} from './regions.js';
import type {WorkImage} from './work-image.js';

/*
 * What a pixel's rest is uncertain by; asked for few of them. These are functions of data, not closures: what the engine
 * has compiled for a closure is lost with it when memory is cleared up, and every frame would be slow again.
 */

/** What tells how uncertain the rest of some pixels is. */
export type Doubts = {
  width: number;
  height: number;
  at: Int32Array;
  regions: RegionMap;
  lights: readonly ActiveLight[];
  /** Each taking part: how much its plate's luminance changes within a pixel, and its planes (r, g, b). */
  rough: readonly Float32Array[];
  own: readonly (readonly Float32Array[])[];
  /** How bright each plate is about a pixel at the most. */
  most: readonly MostAbout[];
  /** The frame's planes. */
  seen: readonly Float32Array[];
  /** Noise of the frame's codes, and of each light's plate in its power. */
  ownNoise: number;
  platesNoise: readonly number[];
  /** Square of the curve's slope at each code. */
  slopes: Float32Array;
  /** The curve: from code values to light. */
  fine: FineTable;
};

export const doubtsOf = (
  frame: WorkImage,
  plates: PreparedPlates,
  lights: readonly ActiveLight[],
  curve: ToneTable,
  regions: RegionMap,
  at: Int32Array,
): Doubts => {
  const slopes = new Float32Array(256);
  for (let code = 0; code < 256; code++) {
    const low = Math.min(254, code);
    slopes[code] = (curve[low + 1]! - curve[low]!) ** 2;
  }
  return {
    width: frame.width,
    height: frame.height,
    at,
    regions,
    lights,
    rough: lights.map(({index}) => plates.rough[index]!),
    own: lights.map(({index}) => {
      const {r, g, b} = plates.lights[index]!.image;
      return [r, g, b];
    }),
    most: lights.map(({index}) => plates.mostAbout[index]!),
    seen: [frame.r, frame.g, frame.b],
    ownNoise: codeNoise(frame),
    platesNoise: lights.map(({index, power}) => power * plates.codeNoise[index]!),
    slopes,
    fine: fineTable(curve),
  };
};

/** Where on a light's plate the i-th pixel is found. */
const placeOf = ({width, height, at, regions}: Doubts, i: number, {placement: p}: ActiveLight): number => {
  const pixel = at[i]!;
  return regions[pixel] === REGION.wall ? pixel : movedPlace(width, height, pixel, p);
};

/** Where on a light's plate what is at a pixel was, if it moved with the head. */
const movedPlace = (width: number, height: number, pixel: number, p: ActiveLight['placement']): number => {
  const x = pixel % width;
  const y = (pixel - x) / width;
  const cx = Math.max(0, Math.min(width - 1, p.ax * x + p.bx * y + p.cx));
  const cy = Math.max(0, Math.min(height - 1, p.ay * x + p.by * y + p.cy));
  return (cy | 0) * width + (cx | 0);
};

/** Where on the plates what is at the i-th pixel was, if it moved with the head as the strongest light found it. */
export const movedFrom = ({width, height, at, lights}: Doubts, i: number): number => {
  let strongest = lights[0];
  for (const light of lights) if (light.power > strongest!.power) strongest = light;
  return strongest ? movedPlace(width, height, at[i]!, strongest.placement) : at[i]!;
};

/** How much the expected luminance changes within the i-th pixel: what a misplaced head would do. */
export const roughOf = (doubts: Doubts, i: number): number => {
  const {lights, rough} = doubts;
  let sum = 0;
  for (let k = 0; k < lights.length; k++) {
    const light = lights[k]!;
    sum += light.power * rough[k]![placeOf(doubts, i, light)]!;
  }
  return sum;
};

/** σ of the i-th pixel's rest by noise in frame and plates, in one channel. */
export const noiseOf = ({at, own, seen, ownNoise, platesNoise, slopes}: Doubts, i: number, channel: number): number => {
  const pixel = at[i]!;
  let noise = ownNoise * ownNoise * slopes[seen[channel]![pixel]! | 0]!;
  for (let k = 0; k < own.length; k++) {
    const code = own[k]![channel]![pixel]! | 0;
    noise += platesNoise[k]! * platesNoise[k]! * slopes[code]!;
  }
  return Math.sqrt(noise);
};

/** A light of this part of its plate's power clips what it clipped there. */
const AS_STRONG = 0.95;
/** Code values from here on may be clipped. */
const CLIPPED = 250;

/** Whether a light that was weaker than on its plate is clipped there: the plate then says only what it gives at least. */
export const isClipped = (doubts: Doubts, i: number): boolean => {
  const {lights, own, width, height} = doubts;
  for (let k = 0; k < lights.length; k++) {
    const light = lights[k]!;
    if (light.power > AS_STRONG) continue;
    const place = placeOf(doubts, i, light);
    for (const plane of own[k]!) if (brightestOf(plane, width, height, place) >= CLIPPED) return true;
  }
  return false;
};

/**
 * Where white is so many times as bright as middle grey, few codes are much light towards it, and frames hardly tell how
 * much: from this code value on a little more of it is no proof.
 */
const HEADROOM = 14;
const SHOULDER = 225;

/** Whether one of the i-th pixel's channels is that bright in the frame. */
export const isOnShoulder = ({at, seen, fine}: Pick<Doubts, 'at' | 'seen' | 'fine'>, i: number): boolean => {
  if (fineLight(fine, 255) < HEADROOM * fineLight(fine, MIDDLE_GREY)) return false;
  const pixel = at[i]!;
  return Math.max(seen[0]![pixel]!, seen[1]![pixel]!, seen[2]![pixel]!) >= SHOULDER;
};

/** The most of 3 × 3 pixels. */
const brightestOf = (plane: Float32Array, width: number, height: number, place: number): number => {
  const x = place % width;
  const y = (place - x) / width;
  let most = 0;
  for (let row = Math.max(0, y - 1); row <= Math.min(height - 1, y + 1); row++) {
    for (let column = Math.max(0, x - 1); column <= Math.min(width - 1, x + 1); column++) {
      most = Math.max(most, plane[row * width + column]!);
    }
  }
  return most;
};

/** How far about a place of the plates is looked, in pixels. */
const ABOUT = 2;

/** Places about one, itself first, as columns and rows. */
const PLACES = [0, 0, -ABOUT, -ABOUT, ABOUT, -ABOUT, -ABOUT, ABOUT, ABOUT, ABOUT];

/**
 * Whether the lights give so much luminance at the i-th pixel or close by, whatever is expected there: `moved` if what is
 * seen moved with the head, though it lies where wall is expected (an elbow, a hat's brim, something in the sitter's hands);
 * else if the lights' pools fall as they did on the plates, while the head moved through them.
 */
export const isLitClose = (doubts: Doubts, i: number, moved: boolean, least: number): boolean => {
  const {width, height, at, lights, own, most, fine} = doubts;
  const pixel = at[i]!;
  // Most of what is looked at lies where the plates are dark all about.
  let atMost = 0;
  for (let k = 0; k < lights.length; k++) {
    const {placement, power} = lights[k]!;
    const place = moved ? movedPlace(width, height, pixel, placement) : pixel;
    const column = place % width;
    atMost += power * fineLight(fine, mostAboutAt(most[k]!, column, (place - column) / width));
  }
  if (atMost < least) return false;
  for (let n = 0; n < PLACES.length; n += 2) {
    let sum = 0;
    for (let k = 0; k < lights.length; k++) {
      const {placement, power} = lights[k]!;
      const place = moved ? movedPlace(width, height, pixel, placement) : pixel;
      const column = place % width;
      const x = Math.max(0, Math.min(width - 1, column + PLACES[n]!));
      const y = Math.max(0, Math.min(height - 1, (place - column) / width + PLACES[n + 1]!));
      const [r, g, b] = own[k]!;
      const there = y * width + x;
      sum += power * LUMA_R * fineLight(fine, r![there]!);
      sum += power * LUMA_G * fineLight(fine, g![there]!);
      sum += power * LUMA_B * fineLight(fine, b![there]!);
    }
    if (sum >= least) return true;
  }
  return false;
};
