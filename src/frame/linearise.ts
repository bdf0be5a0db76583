import type {CodedImage} from './decode/coded.js';
import {type LightImage, newLightImage} from './light-image.js';

/** sRGB's decoding, code value 0..1 to linear light 0..1 (IEC 61966-2-1). */
export const srgbToLinear = (code: number): number =>
  code <= 0.04045 ? code / 12.92 : ((code + 0.055) / 1.055) ** 2.4;

/** Linear light 0..1 to an sRGB code value 0..1 (IEC 61966-2-1). */
export const linearToSrgb = (linear: number): number =>
  linear <= 0.0031308 ? 12.92 * linear : 1.055 * linear ** (1 / 2.4) - 0.055;

/** A table from code values (0..255 or 0..65535) to linear light. */
export const linearTable = (depth: 8 | 16, decode: (code: number) => number): Float32Array => {
  const size = 2 ** depth;
  const table = new Float32Array(size);
  for (let code = 0; code < size; code++) table[code] = decode(code / (size - 1));
  return table;
};

/**
 * Turns coded samples into linear light and averages them over squares of `factor` × `factor` pixels.
 * @param factor whole number ≥ 1; rows and columns that don't fill a square are left out
 */
export const toLight = (image: CodedImage, table: Float32Array, factor: number): LightImage => {
  const width = Math.floor(image.width / factor);
  const height = Math.floor(image.height / factor);
  const light = newLightImage(width, height);
  const {r, g, b} = light;
  const {rgb} = image;
  const stride = image.width * 3;
  const part = 1 / (factor * factor);
  for (let y = 0, out = 0; y < height; y++) {
    for (let x = 0; x < width; x++, out++) {
      let red = 0;
      let green = 0;
      let blue = 0;
      for (let row = 0; row < factor; row++) {
        let at = (y * factor + row) * stride + x * factor * 3;
        for (let column = 0; column < factor; column++, at += 3) {
          red += table[rgb[at]!]!;
          green += table[rgb[at + 1]!]!;
          blue += table[rgb[at + 2]!]!;
        }
      }
      r[out] = red * part;
      g[out] = green * part;
      b[out] = blue * part;
    }
  }
  return light;
};
