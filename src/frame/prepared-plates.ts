import type {Ellipse} from '../../shared/zones.js';
import {boxMean} from './box-mean.js';
import {codeNoise} from './code-noise.js';
import {colourTies} from './colour-ties.js';
import {type PlateCurve, plateCurve} from './curve/plate-curve.js';
import {firstCurve} from './curve/tone-curve.js';
import {type MostAbout, mostAbout} from './most-about.js';
import {inPixels, type PixelEllipse} from './pixel-ellipse.js';
import type {PlateSet} from './plates.js';
import {rangeAround} from './range-around.js';
import {REGION, type RegionMap, regionMap} from './regions.js';
import {type HeadPlates, headOf, headPlates} from './register/head-plates.js';
import {standingAs} from './register/register-head.js';
import {quantile} from './robust.js';
import {type DarkShare, darkShare, noShare} from './room/dark-share.js';
import {type WallPlates, wallPlates} from './room/wall-samples.js';
import {wallThings} from './trail/wall-things.js';
import {luminanceThrough, resizedTo, toWork, type WorkImage, workFactor} from './work-image.js';

/** The plates at one work size, with what a face ellipse makes of them. */
export type PreparedPlates = {
  width: number;
  height: number;
  dark: WorkImage | null;
  lights: {id: string; image: WorkImage}[];
  /** Dark plate and lights, smoothed by a mean over 3 × 3 pixels. */
  smoothDark: WorkImage | null;
  smoothLights: WorkImage[];
  /** σ of each light's code values by noise. */
  codeNoise: number[];
  /** How bright each light's plate is about a pixel at the most. */
  mostAbout: MostAbout[];
  /** How much each light's luminance changes around a pixel, linear. */
  rough: Float32Array[];
  /** How much more or less each pixel reflects than its surroundings, 1 on average, as far as the lights show it. */
  reflectance: Float32Array;
  /** How much more than its surroundings the wall reflects where it reflects most: 1 for a plain one. */
  brightestReflectance: number;
  /** Luminance of narrow things on the wall that the dark plate shows, linear; else 0. */
  things: Float32Array;
  darkShare: DarkShare;
  /** The room's own light shows the sitter on the dark plate. */
  isSitterInDark: boolean;
  /** The face ellipse in pixels, and what depends on it. */
  face: PixelEllipse;
  regions: RegionMap;
  head: HeadPlates;
  wall: WallPlates;
  /** What the plates say of the camera's tone curve. */
  curve: PlateCurve;
};

const smoothed = ({width, height, r, g, b}: WorkImage): WorkImage => ({
  width,
  height,
  r: boxMean(r, width, height, 1),
  g: boxMean(g, width, height, 1),
  b: boxMean(b, width, height, 1),
});

/** Detail of all plates' light over their broad shading. */
const reflectanceOf = (planes: readonly Float32Array[], width: number, height: number): Float32Array => {
  const together = new Float32Array(width * height);
  for (const plane of planes) for (let at = 0; at < plane.length; at++) together[at] = together[at]! + plane[at]!;
  const radius = Math.max(2, Math.round(0.04 * Math.max(width, height)));
  const broad = boxMean(together, width, height, radius);
  return together.map((value, at) => Math.max(0.1, Math.min(3, (value + 0.0005) / (broad[at]! + 0.0005))));
};

/** The wall shows its pattern where at least so much light falls on it on the plates, linear. */
const SHOWS_PATTERN = 0.008;
/** Pixels that are enough to tell, and the part of them that may be specks. */
const ENOUGH = 500;
const SPECKS = 0.01;

const brightestOf = (luminances: readonly Float32Array[], reflectance: Float32Array, regions: RegionMap): number => {
  const seen: number[] = [];
  for (let at = 0; at < reflectance.length; at += 3) {
    if (regions[at] !== REGION.wall) continue;
    let light = 0;
    for (const plane of luminances) light += plane[at]!;
    if (light > SHOWS_PATTERN) seen.push(reflectance[at]!);
  }
  return seen.length < ENOUGH ? 1 : Math.max(1, quantile(seen, 1 - SPECKS));
};

/** The sitter shows on the dark plate where the head's lightest tenth is so much lighter than its darkest, linear. */
const SHOWS_SITTER = 0.001;

const isSitterIn = (luminance: Float32Array | undefined, regions: RegionMap): boolean => {
  if (!luminance) return false;
  const seen: number[] = [];
  for (let at = 0; at < luminance.length; at += 5) if (regions[at] === REGION.head) seen.push(luminance[at]!);
  return seen.length > 0 && quantile(seen, 0.9) - quantile(seen, 0.1) > SHOWS_SITTER;
};

/**
 * Brings plates of any size to one work size, for one face ellipse.
 * @param ellipse fractions of the frame
 */
export const preparePlates = (plates: PlateSet, width: number, height: number, ellipse: Ellipse): PreparedPlates => {
  const sized = (frame: PlateSet['dark']): WorkImage | null =>
    frame && resizedTo(toWork(frame.image, workFactor(frame.image, ellipse)), width, height);
  const dark = sized(plates.dark);
  const lights = plates.lights.map(({id, frame}) => ({id, image: sized(frame)!}));
  const smoothDark = dark && smoothed(dark);
  const smoothLights = lights.map(({image}) => smoothed(image));
  const luminances = smoothLights.map(image => luminanceThrough(image, firstCurve));
  const darkLight = smoothDark && luminanceThrough(smoothDark, firstCurve);
  const darkLuminance = darkLight ? [boxMean(darkLight, width, height, 2)] : [];
  const reflectance = reflectanceOf([...luminances, ...darkLuminance], width, height);
  const face = inPixels(ellipse, width, height);
  const regions = regionMap(face, width, height);
  const images = lights.map(({image}) => image);
  const head = headPlates(dark, images, face, firstCurve);
  const sitter = sized(plates.sitter);
  const wall = wallPlates(smoothDark, smoothLights, reflectance, regions, face, width, height);
  const offsets = head.offsets.map(({dx, dy}) => ({dx: dx * head.window.step, dy: dy * head.window.step}));
  return {
    width,
    height,
    dark,
    lights,
    smoothDark,
    smoothLights,
    codeNoise: lights.map(({image}) => codeNoise(image)),
    mostAbout: images.map(mostAbout),
    rough: lights.map(({image}) => rangeAround(luminanceThrough(image, firstCurve), width, height)),
    reflectance,
    brightestReflectance: brightestOf(luminances, reflectance, regions),
    things: darkLight ? wallThings(darkLight, regions, width, height) : new Float32Array(width * height),
    darkShare: darkLight
      ? darkShare(darkLight, wall.blocks, wall.places, regions, width, height)
      : noShare(width * height),
    isSitterInDark: isSitterIn(darkLuminance[0], regions),
    face,
    regions,
    head: sitter && lights.length > 0 ? standingAs(head, headOf(sitter, head, firstCurve)) : head,
    wall,
    curve: plateCurve(colourTies(smoothDark, smoothLights, face, offsets, wall)),
  };
};
