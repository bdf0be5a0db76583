import type {Ellipse} from '../../shared/zones.js';
import {type FineTable, fineLight, fineTable, type ToneTable} from './curve/tone-curve.js';
import type {CodedImage} from './decode/coded.js';
import {LUMA_B, LUMA_G, LUMA_R} from './luma.js';
import {floats} from './scratch.js';

/**
 * A picture at the size that is measured: one plane a channel, row by row, in code values of 0 to 255 with fractions
 * (whatever depth the file has).
 */
export type WorkImage = {width: number; height: number; r: Float32Array; g: Float32Array; b: Float32Array};

/** The longest edge that is measured, in pixels, unless the head would be too small by then. */
const WORK_EDGE = 1000;
/** Head height in pixels that is kept where the file holds it. */
const LEAST_HEAD = 180;

/** How many decoded pixels become one, along each edge; ≥ 1. */
export const workFactor = ({width, height}: CodedImage, face: Ellipse): number => {
  const fromSize = Math.max(width, height) / WORK_EDGE;
  const fromHead = (2 * face.ry * height) / LEAST_HEAD;
  return Math.max(1, Math.min(fromSize, fromHead));
};

/** Which source pixels make each of the target's along one edge, and how much of each: `taps` for every target pixel. */
type Reduction = {size: number; taps: number; from: Int32Array; parts: Float32Array};

const reduction = (source: number, factor: number): Reduction => {
  const size = Math.max(1, Math.floor(source / factor + 1e-6));
  const taps = Number.isInteger(factor) ? factor : Math.ceil(factor) + 1;
  const from = new Int32Array(size * taps);
  const parts = new Float32Array(size * taps);
  for (let target = 0; target < size; target++) {
    const [start, end] = [target * factor, (target + 1) * factor];
    for (let tap = 0; tap < taps; tap++) {
      const pixel = Math.floor(start) + tap;
      const covered = Math.min(end, pixel + 1) - Math.max(start, pixel);
      from[target * taps + tap] = Math.min(source - 1, pixel);
      parts[target * taps + tap] = Math.max(0, covered) / factor;
    }
  }
  return {size, taps, from, parts};
};

/**
 * Makes a picture smaller by averaging what each pixel covers.
 * @param factor ≥ 1; what doesn't fill a last row or column is left out
 */
export const toWork = (
  {width: sourceWidth, height: sourceHeight, rgb, depth}: CodedImage,
  factor: number,
): WorkImage => {
  const across = reduction(sourceWidth, factor);
  const down = reduction(sourceHeight, factor);
  const [width, height] = [across.size, down.size];
  const image: WorkImage = {
    width,
    height,
    r: floats(width * height),
    g: floats(width * height),
    b: floats(width * height),
  };
  if (rgb instanceof Uint8Array && (factor === 2 || factor === 1.5)) {
    if (factor === 2) halved(rgb, sourceWidth, image);
    else threeToTwo(rgb, sourceWidth, image);
    return image;
  }
  const whole = depth === 16 ? 255 / 65_535 : 1;
  const sums = new Float32Array(3 * width);
  for (let y = 0; y < height; y++) {
    sums.fill(0);
    for (let tap = 0; tap < down.taps; tap++) {
      const part = whole * down.parts[y * down.taps + tap]!;
      if (part === 0) continue;
      const start = 3 * sourceWidth * down.from[y * down.taps + tap]!;
      const row = rgb.subarray(start, start + 3 * sourceWidth);
      // Apart, so that each runs on arrays of one kind.
      if (row instanceof Uint16Array) addRow16(row, part, across, sums);
      else addRow8(row, part, across, sums);
    }
    const out = y * width;
    for (let x = 0, n = 0; x < width; x++, n += 3) {
      image.r[out + x] = sums[n]!;
      image.g[out + x] = sums[n + 1]!;
      image.b[out + x] = sums[n + 2]!;
    }
  }
  return image;
};

/** The commonest cases, written out. Nine pixels become four; a last odd row or column is made of what is left. */
const threeToTwo = (rgb: Uint8Array, sourceWidth: number, {width, height, r, g, b}: WorkImage): void => {
  const stride = 3 * sourceWidth;
  for (let y = 0; y < height; y++) {
    // The nearer of two source rows counts twice.
    let near = (y >> 1) * 3 * stride + (y % 2 === 0 ? 0 : 2 * stride);
    let far = (y >> 1) * 3 * stride + stride;
    const end = (y + 1) * width;
    for (let out = y * width; out < end; out += 2, near += 9, far += 9) {
      const red = 2 * rgb[near + 3]! + rgb[far + 3]!;
      const green = 2 * rgb[near + 4]! + rgb[far + 4]!;
      const blue = 2 * rgb[near + 5]! + rgb[far + 5]!;
      r[out] = (2 * (2 * rgb[near]! + rgb[far]!) + red) / 9;
      g[out] = (2 * (2 * rgb[near + 1]! + rgb[far + 1]!) + green) / 9;
      b[out] = (2 * (2 * rgb[near + 2]! + rgb[far + 2]!) + blue) / 9;
      if (out + 1 === end) break;
      r[out + 1] = (2 * (2 * rgb[near + 6]! + rgb[far + 6]!) + red) / 9;
      g[out + 1] = (2 * (2 * rgb[near + 7]! + rgb[far + 7]!) + green) / 9;
      b[out + 1] = (2 * (2 * rgb[near + 8]! + rgb[far + 8]!) + blue) / 9;
    }
  }
};

/** Four pixels become one. */
const halved = (rgb: Uint8Array, sourceWidth: number, {width, height, r, g, b}: WorkImage): void => {
  const stride = 3 * sourceWidth;
  for (let y = 0, out = 0; y < height; y++) {
    for (let x = 0, at = 2 * y * stride; x < width; x++, at += 6, out++) {
      const below = at + stride;
      r[out] = 0.25 * (rgb[at]! + rgb[at + 3]! + rgb[below]! + rgb[below + 3]!);
      g[out] = 0.25 * (rgb[at + 1]! + rgb[at + 4]! + rgb[below + 1]! + rgb[below + 4]!);
      b[out] = 0.25 * (rgb[at + 2]! + rgb[at + 5]! + rgb[below + 2]! + rgb[below + 5]!);
    }
  }
};

/** Adds a source row, averaged across, to a target row of three channels a pixel. */
const rowAdder =
  () =>
  (row: Uint8Array | Uint16Array, part: number, {size, taps, from, parts}: Reduction, sums: Float32Array): void => {
    for (let x = 0, n = 0, out = 0; x < size; x++, out += 3) {
      let red = 0;
      let green = 0;
      let blue = 0;
      for (let tap = 0; tap < taps; tap++, n++) {
        const at = 3 * from[n]!;
        const own = parts[n]!;
        red += own * row[at]!;
        green += own * row[at + 1]!;
        blue += own * row[at + 2]!;
      }
      sums[out] = sums[out]! + part * red;
      sums[out + 1] = sums[out + 1]! + part * green;
      sums[out + 2] = sums[out + 2]! + part * blue;
    }
  };
const addRow8 = rowAdder();
const addRow16 = rowAdder();

/** Linear luminance of one pixel. */
export const luminanceAt = ({r, g, b}: WorkImage, fine: FineTable, at: number): number =>
  LUMA_R * fineLight(fine, r[at]!) + LUMA_G * fineLight(fine, g[at]!) + LUMA_B * fineLight(fine, b[at]!);

/** Linear luminance of every pixel through a tone curve. */
export const luminanceThrough = (image: WorkImage, curve: ToneTable): Float32Array => {
  const fine = fineTable(curve);
  const out = floats(image.r.length);
  for (let at = 0; at < out.length; at++) out[at] = luminanceAt(image, fine, at);
  return out;
};

/** The same of one pixel in every `step` along each row, and of one row in every `step`. */
export const luminanceOfEvery = (step: number, image: WorkImage, curve: ToneTable): Float32Array => {
  const fine = fineTable(curve);
  const {width, height} = image;
  const out = floats(Math.ceil(width / step) * Math.ceil(height / step));
  let count = 0;
  for (let y = 0; y < height; y += step) {
    const end = (y + 1) * width;
    for (let at = y * width; at < end; at += step) out[count++] = luminanceAt(image, fine, at);
  }
  return out;
};

const resizedPlane = (plane: Float32Array, from: WorkImage, width: number, height: number): Float32Array => {
  const out = floats(width * height);
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
