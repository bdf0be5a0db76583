import type {Picture} from '../../frame/picture.js';

/** One plate's picture, and how much brighter (EV) its light will be; null when it will not fire. */
export type Layer = {picture: Picture; ev: number | null};

/** sRGB of IEC 61966-2-1, both ways. */
const toLinear = (value: number): number => (value <= 0.04045 ? value / 12.92 : ((value + 0.055) / 1.055) ** 2.4);
const toCoded = (linear: number): number =>
  linear <= 0.0031308 ? 12.92 * linear : 1.055 * Math.min(1, linear) ** (1 / 2.4) - 0.055;

const linearOf = Float64Array.from({length: 256}, (_, code) => toLinear(code / 255));
const STEPS = 4095;
const codeOf = Uint8Array.from({length: STEPS + 1}, (_, step) => Math.round(255 * toCoded((step / STEPS) ** 2)));

/**
 * The next frame as the plates foretell it: light adds, so each plate's own light is scaled and added to the dark one.
 * The camera's contrast curve is taken for plain sRGB: good to look at, not to measure.
 * @param lights plates of one light each, of the same size as the dark one; others are passed over
 */
export const relit = (dark: Layer, lights: readonly Layer[]): Picture => {
  const {width, height} = dark.picture;
  const fitting = lights.filter(({picture, ev}) => ev !== null && picture.width === width && picture.height === height);
  const rgb = new Uint8Array(3 * width * height);
  const room = dark.ev === null ? 0 : 2 ** dark.ev;
  for (let at = 0; at < rgb.length; at++) {
    const black = linearOf[dark.picture.rgb[at]!]!;
    let sum = room * black;
    for (const {picture, ev} of fitting) sum += 2 ** ev! * Math.max(0, linearOf[picture.rgb[at]!]! - black);
    rgb[at] = codeOf[Math.round(Math.sqrt(Math.min(1, sum)) * STEPS)]!;
  }
  return {width, height, rgb};
};
