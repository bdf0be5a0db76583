import type {Ellipse} from '../../shared/zones.js';

/** Where nothing can be guessed: a head in the middle of the frame, a little above half its height. */
export const usualFace: Ellipse = {cx: 0.5, cy: 0.42, rx: 0.13, ry: 0.24};

const percentile = (values: Float32Array, part: number): number => {
  const sorted = Float32Array.from(values).sort();
  return sorted[Math.min(sorted.length - 1, Math.floor(part * sorted.length))] ?? 0;
};

/**
 * A first guess of the head's ellipse from what the flashes lit: the bright blob's centre and spread.
 * @param luminance linear, row by row
 */
export const guessFace = (luminance: Float32Array, width: number, height: number): Ellipse => {
  const bright = percentile(luminance, 0.985);
  const dark = percentile(luminance, 0.2);
  const limit = dark + 0.2 * (bright - dark);
  if (!(bright > 0.005) || !(bright > 3 * dark)) return usualFace;
  let sum = 0;
  let sumX = 0;
  let sumY = 0;
  let sumXx = 0;
  for (let y = 0, at = 0; y < height; y++) {
    for (let x = 0; x < width; x++, at++) {
      if (luminance[at]! < limit) continue;
      sum++;
      sumX += x;
      sumY += y;
      sumXx += x * x;
    }
  }
  if (sum === 0) return usualFace;
  const cx = sumX / sum;
  const cy = sumY / sum;
  const spread = Math.sqrt(Math.max(0, sumXx / sum - cx * cx));
  const rx = Math.min(0.3 * width, Math.max(0.04 * width, 2 * spread));
  return {cx: cx / width, cy: cy / height, rx: rx / width, ry: Math.min(0.45, (1.35 * rx) / height)};
};
