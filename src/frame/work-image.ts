import type {Ellipse} from '../../shared/zones.js';
import {lightAt, type ToneTable} from './curve/tone-curve.js';
import type {CodedImage} from './decode/coded.js';
import {LUMA_B, LUMA_G, LUMA_R} from './luma.js';

/**
 * A picture at the size that is measured: one plane a channel, row by row, in code values of 0 to 255 with fractions
 * (whatever depth the file has).
 */
export type WorkImage = {width: number; height: number; r: Float32Array; g: Float32Array; b: Float32Array};

/** The longest edge that is measured, in pixels, unless the head would be too small by then. */
const WORK_EDGE = 1000;
/** Head height in pixels that is kept where the file holds it. */
const LEAST_HEAD = 180;

/** How many decoded pixels become one, along each edge. */
export const workFactor = ({width, height}: CodedImage, face: Ellipse): number => {
  const fromSize = Math.ceil(Math.max(width, height) / WORK_EDGE);
  const fromHead = Math.floor((2 * face.ry * height) / LEAST_HEAD);
  return Math.max(1, Math.min(fromSize, fromHead));
};

/**
 * Averages squares of `factor` × `factor` pixels.
 * @param factor whole number ≥ 1; rows and columns that don't fill a square are left out
 */
export const toWork = (image: CodedImage, factor: number): WorkImage => {
  const width = Math.floor(image.width / factor);
  const height = Math.floor(image.height / factor);
  const r = new Float32Array(width * height);
  const g = new Float32Array(width * height);
  const b = new Float32Array(width * height);
  const {rgb} = image;
  const stride = image.width * 3;
  const part = (image.depth === 16 ? 255 / 65_535 : 1) / (factor * factor);
  for (let y = 0, out = 0; y < height; y++) {
    for (let x = 0; x < width; x++, out++) {
      let red = 0;
      let green = 0;
      let blue = 0;
      for (let row = 0; row < factor; row++) {
        let at = (y * factor + row) * stride + x * factor * 3;
        for (let column = 0; column < factor; column++, at += 3) {
          red += rgb[at]!;
          green += rgb[at + 1]!;
          blue += rgb[at + 2]!;
        }
      }
      r[out] = red * part;
      g[out] = green * part;
      b[out] = blue * part;
    }
  }
  return {width, height, r, g, b};
};

/** Linear luminance of every pixel through a tone curve. */
export const luminanceThrough = ({r, g, b}: WorkImage, curve: ToneTable): Float32Array => {
  const out = new Float32Array(r.length);
  for (let at = 0; at < out.length; at++) {
    out[at] = LUMA_R * lightAt(curve, r[at]!) + LUMA_G * lightAt(curve, g[at]!) + LUMA_B * lightAt(curve, b[at]!);
  }
  return out;
};

const resizedPlane = (plane: Float32Array, from: WorkImage, width: number, height: number): Float32Array => {
  const out = new Float32Array(width * height);
  for (let y = 0, at = 0; y < height; y++) {
    const sy = Math.min(from.height - 1, Math.max(0, ((y + 0.5) * from.height) / height - 0.5));
    const y0 = Math.min(from.height - 1, Math.floor(sy));
    const y1 = Math.min(from.height - 1, y0 + 1);
    const fy = sy - y0;
    for (let x = 0; x < width; x++, at++) {
      const sx = Math.min(from.width - 1, Math.max(0, ((x + 0.5) * from.width) / width - 0.5));
      const x0 = Math.min(from.width - 1, Math.floor(sx));
      const x1 = Math.min(from.width - 1, x0 + 1);
      const fx = sx - x0;
      const top = plane[y0 * from.width + x0]! * (1 - fx) + plane[y0 * from.width + x1]! * fx;
      const bottom = plane[y1 * from.width + x0]! * (1 - fx) + plane[y1 * from.width + x1]! * fx;
      out[at] = top * (1 - fy) + bottom * fy;
    }
  }
  return out;
};

/** The picture at another size, by bilinear interpolation; itself where the size is the same. */
export const resizedTo = (image: WorkImage, width: number, height: number): WorkImage =>
  image.width === width && image.height === height
    ? image
    : {
        width,
        height,
        r: resizedPlane(image.r, image, width, height),
        g: resizedPlane(image.g, image, width, height),
        b: resizedPlane(image.b, image, width, height),
      };
