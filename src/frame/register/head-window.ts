import {boxMean} from '../box-mean.js';
import {lightAt, type ToneTable} from '../curve/tone-curve.js';
import {LUMA_B, LUMA_G, LUMA_R} from '../luma.js';
import type {PixelEllipse} from '../pixel-ellipse.js';
import {floats} from '../scratch.js';
import type {WorkImage} from '../work-image.js';

/*
 * The head and what surrounds it, at a size that doesn't depend on the frame's: large heads are averaged down, so that
 * finding a head costs the same in every frame.
 */

/** Head height that is enough to find it by, in window pixels. */
const HEAD_PIXELS = 170;
/** How far the window reaches beyond the face's larger half. */
const REACH = 1.8;

/** Where a window lies: its pixel (x, y) covers the frame's square of `step` pixels around (left + x·step, top + y·step). */
export type HeadWindow = {left: number; top: number; step: number; width: number; height: number};

export const windowAbout = (face: PixelEllipse): HeadWindow => {
  const step = Math.max(1, (2 * face.ry) / HEAD_PIXELS);
  const reach = REACH * Math.max(face.rx, face.ry);
  const size = Math.ceil((2 * reach) / step);
  return {left: face.cx - reach, top: face.cy - reach, step, width: size, height: size};
};

/** The ellipse in the window's pixels. */
export const ellipseIn = ({left, top, step}: HeadWindow, face: PixelEllipse): PixelEllipse => ({
  cx: (face.cx - left) / step,
  cy: (face.cy - top) / step,
  rx: face.rx / step,
  ry: face.ry / step,
});

/** Linear luminance of a picture in the window, edges repeated. */
export const windowLuminance = (image: WorkImage, window: HeadWindow, curve: ToneTable): Float32Array => {
  const {left, top, step, width, height} = window;
  const along = Math.max(1, Math.round(step));
  const out = floats(width * height);
  const columns = new Int32Array(width * along);
  for (let x = 0; x < width; x++) {
    for (let n = 0; n < along; n++) {
      const px = Math.round(left + (x + (n + 0.5) / along - 0.5) * step);
      columns[x * along + n] = Math.max(0, Math.min(image.width - 1, px));
    }
  }
  const part = 1 / (along * along);
  for (let y = 0; y < height; y++) {
    for (let m = 0; m < along; m++) {
      const py = Math.round(top + (y + (m + 0.5) / along - 0.5) * step);
      const row = Math.max(0, Math.min(image.height - 1, py)) * image.width;
      for (let x = 0; x < width; x++) {
        let sum = 0;
        for (let n = x * along; n < (x + 1) * along; n++) {
          const at = row + columns[n]!;
          sum +=
            LUMA_R * lightAt(curve, image.r[at]!) +
            LUMA_G * lightAt(curve, image.g[at]!) +
            LUMA_B * lightAt(curve, image.b[at]!);
        }
        out[y * width + x] = out[y * width + x]! + sum * part;
      }
    }
  }
  return out;
};

/** One plane less another. */
export const difference = (one: Float32Array, other: Float32Array): Float32Array => {
  const out = floats(one.length);
  for (let at = 0; at < out.length; at++) out[at] = one[at]! - other[at]!;
  return out;
};

/** A plane smoothed a little, smoothed more, and the detail that the second loses. */
export type Smoothed = {smooth: Float32Array; smoother: Float32Array; detail: Float32Array};

export const smoothedTwice = (plane: Float32Array, {width, height}: HeadWindow): Smoothed => {
  const smooth = boxMean(plane, width, height, 1);
  const smoother = boxMean(smooth, width, height, 4);
  return {smooth, smoother, detail: difference(smooth, smoother)};
};
