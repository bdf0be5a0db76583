import type {Rgb} from './colour.js';
import {type Stuff, stuff} from './person.js';
import {lumps, roughness} from './random.js';
import {ramp, type Vector} from './space.js';

export type Material = {albedo: Rgb; gloss: number; softness: number};

const mix = (a: Rgb, b: Rgb, t: number): Rgb => [
  a[0] + (b[0] - a[0]) * t,
  a[1] + (b[1] - a[1]) * t,
  a[2] + (b[2] - a[2]) * t,
];
const scale = (a: Rgb, k: number): Rgb => [a[0] * k, a[1] * k, a[2] * k];

const SKIN: Rgb = [0.47, 0.31, 0.23];
const RUDDY: Rgb = [0.47, 0.22, 0.16];
const LIP: Rgb = [0.36, 0.15, 0.12];
const UNDER_EYE: Rgb = [0.32, 0.2, 0.16];

/** Weathered skin: redder on nose, cheeks and ears, darker around the eyes, lined on the brow. */
const skinOf = ([x, y, z]: Vector): Material => {
  const s = Math.abs(x);
  const nose = ramp(0.026, 0.006, Math.hypot(x, (y + 0.036) * 0.8, (z - 0.1) * 0.7));
  const cheek = ramp(0.03, 0.008, Math.hypot(s - 0.042, y + 0.025)) * ramp(0, 0.03, z);
  const ear = ramp(0.068, 0.078, s);
  let albedo = mix(SKIN, RUDDY, Math.min(0.75, nose * 0.55 + cheek * 0.4 + ear * 0.5));
  const socket = ramp(0.022, 0.01, Math.hypot(s - 0.0315, (y + 0.004) * 1.25)) * ramp(0.03, 0.06, z);
  albedo = mix(albedo, UNDER_EYE, socket * 0.55);
  const lips = ramp(0.0105, 0.006, Math.hypot(s * 0.36, y + 0.07)) * ramp(0.06, 0.075, z);
  albedo = mix(albedo, LIP, lips * 0.85);
  const lashes =
    ramp(0.0028, 0.0012, Math.abs(y - 0.0035 + (s - 0.0315) ** 2 * 26)) * ramp(0.016, 0.012, Math.abs(s - 0.0315));
  albedo = scale(albedo, 1 - 0.6 * lashes * ramp(0.06, 0.07, z));
  const lines = ramp(0.6, 1, Math.cos(y * 720 + lumps(x * 40, 0, 0, 3) * 4)) * ramp(0.03, 0.045, y) * 0.18;
  const crow =
    ramp(0.75, 1, Math.cos(Math.atan2(y, s - 0.036) * 16)) * ramp(0.046, 0.052, s) * ramp(0.066, 0.058, s) * 0.25;
  const mottle = 0.86 + 0.28 * roughness(x * 160, y * 160, z * 160, 5, 3);
  return {albedo: scale(albedo, mottle * (1 - lines - crow)), gloss: 0.5 + nose * 0.3, softness: 0.7};
};

/** White, iris with a darker edge, pupil; the gaze goes a little past the camera. */
const eyeOf = ([x, y, z]: Vector): Material => {
  const s = x - Math.sign(x) * 0.0315;
  const off = Math.hypot(s - 0.0022, y + 0.0003);
  const white: Rgb = [0.52, 0.48, 0.45];
  const iris: Rgb = [0.075, 0.1, 0.11];
  let albedo = off < 0.0058 ? mix(iris, [0.03, 0.03, 0.03], ramp(0.0042, 0.0058, off)) : white;
  if (off < 0.0025) albedo = [0.008, 0.008, 0.008];
  return {albedo: scale(albedo, z > 0 ? 1 : 0.5), gloss: 4, softness: 0.2};
};

const hairOf = ([x, y, z]: Vector, base: Rgb, salt: number): Material => {
  const lock = lumps(x * 320, y * 70, z * 320, salt);
  const strand = lumps(x * 900, y * 160, z * 900, salt + 1);
  return {albedo: scale(base, 0.45 + 0.55 * lock + 0.35 * strand), gloss: 0.45, softness: 0.35};
};

const capOf = ([x, y, z]: Vector): Material => {
  const around = Math.atan2(x, z + 0.012);
  const stitch = 0.8 + 0.2 * Math.cos(around * 62) + 0.14 * Math.cos(y * 1500 + Math.cos(around * 62) * 2);
  const worn = 0.8 + 0.4 * roughness(x * 60, y * 60, z * 60, 61, 3);
  return {albedo: scale([0.11, 0.06, 0.045], stitch * worn), gloss: 0.06, softness: 0.3};
};

const scarfOf = ([x, y, z]: Vector): Material => {
  const stripe = Math.sin(Math.atan2(x, z + 0.02) * 3.2 + y * 46) > 0.72 ? 1 : 0;
  const weave = 0.75 + 0.5 * roughness(x * 420, y * 420, z * 420, 71, 2);
  return {albedo: scale(mix([0.3, 0.075, 0.045], [0.36, 0.25, 0.14], stripe), weave), gloss: 0.05, softness: 0.3};
};

const coatOf = ([x, y, z]: Vector): Material => {
  const weave = 0.7 + 0.6 * roughness(x * 320, y * 320, z * 320, 81, 2);
  const worn = 0.8 + 0.4 * roughness(x * 22, y * 22, z * 22, 82, 3);
  return {albedo: scale([0.066, 0.072, 0.09], weave * worn), gloss: 0.08, softness: 0.1};
};

/**
 * What a point of the sitter throws back.
 * @param inHead the point in the head's frame, for what moves with the head
 * @param place the point in the room
 */
export const albedoOf = (of: Stuff, inHead: Vector, place: Vector): Material => {
  switch (of) {
    case stuff.skin:
      return skinOf(inHead);
    case stuff.eye:
      return eyeOf(inHead);
    case stuff.beard:
      return hairOf(inHead, inHead[1] > 0 ? [0.17, 0.145, 0.125] : [0.3, 0.27, 0.24], 91);
    case stuff.hair:
      return hairOf(inHead, [0.22, 0.19, 0.17], 95);
    case stuff.cap:
      return capOf(inHead);
    case stuff.scarf:
      return scarfOf(place);
    case stuff.coat:
      return coatOf(place);
  }
};
