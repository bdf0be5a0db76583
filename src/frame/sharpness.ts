import {sampleAt} from './bilinear.js';
import {type PixelEllipse, radiiSquared} from './pixel-ellipse.js';
import {MAD_TO_SIGMA, medianOf, quantile} from './robust.js';
import {floats} from './scratch.js';

/*
 * How sharp a head is, against what the plates would give in the same light: the energy of fine detail (variance of the
 * Laplacian, see Pertuz and others 2013) over both, each less what noise alone puts there.
 */

/** The Laplacian over four neighbours at a pixel clear of the edge. */
export const laplacianAt = (plane: Float32Array, width: number, at: number): number =>
  plane[at - 1]! + plane[at + 1]! + plane[at - width]! + plane[at + width]! - 4 * plane[at]!;

/** Variance of the Laplacian (four neighbours, edges mirrored without repeating them) over a whole picture. */
export const laplacianVariance = (plane: Float32Array, width: number, height: number): number => {
  let sum = 0;
  let squares = 0;
  const mirrored = (n: number, size: number): number => (n < 0 ? -n : n >= size ? 2 * size - 2 - n : n);
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const value =
        plane[y * width + mirrored(x - 1, width)]! +
        plane[y * width + mirrored(x + 1, width)]! +
        plane[mirrored(y - 1, height) * width + x]! +
        plane[mirrored(y + 1, height) * width + x]! -
        4 * plane[y * width + x]!;
      sum += value;
      squares += value * value;
    }
  }
  const count = width * height;
  return squares / count - (sum / count) ** 2;
};

/** Least part of the plates' own detail that must stand above their noise for a ratio to mean anything. */
const LEAST_SIGNAL = 1.5;

/**
 * Sharpness of the head relative to the plates: 1 as sharp, less is softer.
 * @param seen and expected: linear luminance in the head's window, the second made of the plates where the head stands
 * @param skip pixels that don't count (the trail)
 * @returns null where the plates show too little detail
 */
export const relativeSharpness = (
  seen: Float32Array,
  expected: Float32Array,
  width: number,
  height: number,
  face: PixelEllipse,
  skip: (at: number) => boolean,
): number | null => {
  const most = Math.min(width * height, Math.ceil((2 * face.rx + 2) * (2 * face.ry + 2)));
  const all = new Float64Array(most);
  const wanted = new Float64Array(most);
  let count = 0;
  for (let y = Math.max(1, Math.ceil(face.cy - face.ry)); y < Math.min(height - 1, face.cy + face.ry); y++) {
    for (let x = Math.max(1, Math.ceil(face.cx - face.rx)); x < Math.min(width - 1, face.cx + face.rx); x++) {
      const at = y * width + x;
      if (radiiSquared(face, x, y) > 0.8 || skip(at)) continue;
      all[count] = laplacianAt(seen, width, at);
      wanted[count++] = laplacianAt(expected, width, at);
    }
  }
  if (count < 200) return null;
  const have = energyOf(all.subarray(0, count));
  const plate = energyOf(wanted.subarray(0, count));
  if (plate.signal < LEAST_SIGNAL * plate.noise) return null;
  const detail = Math.max(0, have.signal - 2 * have.noise) / Math.max(1e-12, plate.signal - 2 * plate.noise);
  return Math.min(3, Math.sqrt(detail));
};

/** Detail is in few places, noise is everywhere: the typical response is noise's. The most extreme are a speck's. */
const energyOf = (responses: Float64Array): {signal: number; noise: number} => {
  for (let i = 0; i < responses.length; i++) responses[i] = Math.abs(responses[i]!);
  const noise = (MAD_TO_SIGMA * medianOf(responses)) ** 2;
  const [least, most] = [quantile(responses, 0.8), quantile(responses, 0.995)];
  let sum = 0;
  let kept = 0;
  for (const response of responses) {
    if (response < least || response > most) continue;
    sum += response * response;
    kept++;
  }
  return {signal: sum / Math.max(1, kept), noise};
};

/** A plane made of the plates in a window, as the poses find the head; 0 away from the face, where nobody asks. */
export const expectedInWindow = (
  planes: readonly Float32Array[],
  places: readonly {ax: number; bx: number; cx: number; ay: number; by: number; cy: number}[],
  power: ArrayLike<number>,
  face: PixelEllipse,
  width: number,
  height: number,
): Float32Array => {
  const out = floats(width * height);
  const [left, right] = [Math.max(0, Math.floor(face.cx - face.rx)), Math.min(width - 1, Math.ceil(face.cx + face.rx))];
  const [top, bottom] = [
    Math.max(0, Math.floor(face.cy - face.ry)),
    Math.min(height - 1, Math.ceil(face.cy + face.ry)),
  ];
  for (let k = 0; k < planes.length; k++) {
    const plane = planes[k]!;
    const p = places[k]!;
    const own = power[k]!;
    if (!(own > 0)) continue;
    for (let y = top; y <= bottom; y++) {
      for (let x = left; x <= right; x++) {
        const at = y * width + x;
        const value = sampleAt(plane, width, height, p.ax * x + p.bx * y + p.cx, p.ay * x + p.by * y + p.cy);
        out[at] = out[at]! + own * value;
      }
    }
  }
  return out;
};
