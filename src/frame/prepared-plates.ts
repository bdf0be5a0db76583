import {boxMean} from './box-mean.js';
import {curveTable, lightAt, type ToneTable} from './curve/tone-curve.js';
import {LUMA_B, LUMA_G, LUMA_R} from './light-image.js';
import type {PixelEllipse} from './pixel-ellipse.js';
import type {PlateSet} from './plates.js';
import {headSpectrum} from './register/coarse-shift.js';
import type {Spectrum} from './register/phase-correlation.js';
import {resizedTo, toWork, type WorkImage, workFactor} from './work-image.js';

/** What a first look at a picture takes for its tone curve: the mean of the known ones. */
export const firstCurve: ToneTable = curveTable([0, 0, 0]);

/** Linear luminance of a work image through a curve. */
export const luminanceThrough = ({r, g, b}: WorkImage, curve: ToneTable): Float32Array => {
  const out = new Float32Array(r.length);
  for (let at = 0; at < out.length; at++) {
    out[at] = LUMA_R * lightAt(curve, r[at]!) + LUMA_G * lightAt(curve, g[at]!) + LUMA_B * lightAt(curve, b[at]!);
  }
  return out;
};

/** The plates at one work size, with what registering needs of them. */
export type PreparedPlates = {
  width: number;
  height: number;
  dark: WorkImage | null;
  lights: {id: string; image: WorkImage}[];
  /** Dark plate and lights, smoothed by a mean over 3 × 3 pixels. */
  smoothDark: WorkImage | null;
  smoothLights: WorkImage[];
  sitter: WorkImage | null;
  /** Each light's own luminance (less the dark plate) through the first curve, and smoothed twice. */
  own: Float32Array[];
  smooth: Float32Array[];
  smoother: Float32Array[];
  /** What the first smoothing keeps and the second loses. */
  detail: Float32Array[];
  darkLuminance: Float32Array;
  /** How much more or less each pixel reflects than its surroundings, 1 on average, as far as the lights show it. */
  reflectance: Float32Array;
  /** Spectra of all lights together and of each alone, for one face ellipse. */
  spectra: {key: string; values: Spectrum[]} | null;
};

const smoothed = ({width, height, r, g, b}: WorkImage): WorkImage => ({
  width,
  height,
  r: boxMean(r, width, height, 1),
  g: boxMean(g, width, height, 1),
  b: boxMean(b, width, height, 1),
});

/** Detail of all lights together over their broad shading. */
const reflectanceOf = (smooth: readonly Float32Array[], width: number, height: number): Float32Array => {
  const together = new Float32Array(width * height);
  for (const plane of smooth) for (let at = 0; at < plane.length; at++) together[at] = together[at]! + plane[at]!;
  const radius = Math.max(2, Math.round(0.04 * Math.max(width, height)));
  const broad = boxMean(together, width, height, radius);
  return together.map((value, at) => Math.max(0.1, Math.min(3, (value + 0.001) / (broad[at]! + 0.001))));
};

/** Averages plates of any size down to this work size. */
export const preparePlates = (plates: PlateSet, width: number, height: number): PreparedPlates => {
  const sized = (frame: PlateSet['dark']): WorkImage | null =>
    frame && resizedTo(toWork(frame.image, workFactor(frame.image)), width, height);
  const dark = sized(plates.dark);
  const lights = plates.lights.map(({id, frame}) => ({id, image: sized(frame)!}));
  const darkLuminance = dark ? luminanceThrough(dark, firstCurve) : new Float32Array(width * height);
  const own = lights.map(({image}) => {
    const light = luminanceThrough(image, firstCurve);
    for (let at = 0; at < light.length; at++) light[at] = light[at]! - darkLuminance[at]!;
    return light;
  });
  const smooth = own.map(plane => boxMean(plane, width, height, 1));
  const smoother = smooth.map(plane => boxMean(plane, width, height, 4));
  return {
    width,
    height,
    dark,
    lights,
    smoothDark: dark && smoothed(dark),
    smoothLights: lights.map(({image}) => smoothed(image)),
    sitter: sized(plates.sitter),
    own,
    smooth,
    smoother,
    detail: smooth.map((plane, k) => plane.map((value, at) => value - smoother[k]![at]!)),
    darkLuminance,
    reflectance: reflectanceOf(smooth, width, height),
    spectra: null,
  };
};

/** Light below which differences on the head don't count when it is registered. */
export const REGISTER_FLOOR = 0.004;

/** Spectra of the head under all lights and under each alone; kept for the next frame with the same ellipse. */
export const headSpectra = (plates: PreparedPlates, face: PixelEllipse): Spectrum[] => {
  const key = [face.cx, face.cy, face.rx, face.ry].join(' ');
  if (plates.spectra?.key === key) return plates.spectra.values;
  const {width, height, smooth} = plates;
  const together = new Float32Array(width * height);
  for (const plane of smooth) for (let at = 0; at < plane.length; at++) together[at] = together[at]! + plane[at]!;
  const planes = smooth.length > 1 ? [together, ...smooth] : [together];
  const values = planes.map(plane => headSpectrum(plane, width, height, face, REGISTER_FLOOR));
  plates.spectra = {key, values};
  return values;
};
