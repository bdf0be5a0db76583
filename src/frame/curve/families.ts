import {linearToSrgb} from './srgb.js';

/*
 * Shapes that a camera's JPEG may give to tones, as far as is generally known: an S over the code values, a sigmoid, a
 * film-like shoulder, a gain with a shoulder, another gamma; or, where light many times as bright as white is kept, a
 * logarithm, or what film does. None is any camera's; together they span what curves do, so that a curve which is in none of
 * them is still close to some mixture.
 */

/** Linear light 0..1 to a code value 0..1, rising, 0 at 0 and 1 at 1. */
export type Rendering = (linear: number) => number;

const smooth = (v: number): number => v * v * (3 - 2 * v);

const blendedS =
  (strength: number): Rendering =>
  linear => {
    const v = linearToSrgb(linear);
    return v + strength * (smooth(v) - v);
  };

const sigmoid =
  (steepness: number, middle: number): Rendering =>
  linear => {
    const s = (v: number): number => 1 / (1 + Math.exp(-steepness * (v - middle)));
    return (s(linearToSrgb(linear)) - s(0)) / (s(1) - s(0));
  };

const gamma =
  (power: number): Rendering =>
  linear =>
    linearToSrgb(linear) ** power;

const shoulder =
  (bend: number, power: number): Rendering =>
  linear =>
    linearToSrgb(((1 - Math.exp(-bend * linear)) / (1 - Math.exp(-bend))) ** power);

const gainWithShoulder =
  (gain: number): Rendering =>
  linear =>
    linearToSrgb((gain * linear) / (1 + (gain - 1) * linear));

const wave =
  (height: number): Rendering =>
  linear => {
    const v = linearToSrgb(linear);
    return v - height * Math.sin(2 * Math.PI * v);
  };

const after =
  (first: (linear: number) => number, second: Rendering): Rendering =>
  linear =>
    second(Math.min(1, first(linear)));

const shouldered = (gain: number) => (linear: number) => (gain * linear) / (1 + (gain - 1) * linear);

/** What a camera does whose JPEG clips little above white. */
export const contrasts: readonly Rendering[] = [
  ...[-0.2, 0, 0, 0, 0.15, 0.3, 0.45, 0.6, 0.8, 1].map(blendedS),
  ...[2, 4, 6].flatMap(steepness => [0.38, 0.46, 0.54].map(middle => sigmoid(steepness, middle))),
  ...[0.85, 0.93, 1.08, 1.18].map(gamma),
  ...[0.6, 1.2, 2].flatMap(bend => [1, 1.15].map(power => shoulder(bend, power))),
  ...[1.4, 2, 3].map(gainWithShoulder),
  ...[0.04, 0.08].map(wave),
  ...[1.5, 2.2].flatMap(gain => [0.4, 0.8].map(strength => after(shouldered(gain), blendedS(strength)))),
];

/** A toe takes light x for x² / (x + this). */
const toed =
  (toe: number, first: (linear: number) => number) =>
  (linear: number): number => {
    const light = first(linear);
    return ((light * light) / (light + toe)) * (1 + toe);
  };

const logarithm =
  (range: number): Rendering =>
  linear =>
    Math.log1p(range * linear) / Math.log1p(range);

/** A ratio of two quadratic functions, as film's toe, straight part and shoulder together are often drawn. */
const filmRatio = (white: number): Rendering => {
  const of = (light: number): number => (light * (2.5 * light + 0.03)) / (light * (2.4 * light + 0.6) + 0.14);
  return linear => linearToSrgb(of(white * linear) / of(white));
};

/** What curves do that keep light many times as bright as white. */
export const wideCurves: readonly Rendering[] = [
  ...[50, 120, 300, 700].map(logarithm),
  ...[2.5, 4].map(filmRatio),
  ...[3, 5, 8].flatMap(gain => [0.002, 0.007, 0.014].map(toe => after(toed(toe, shouldered(gain)), linearToSrgb))),
];
