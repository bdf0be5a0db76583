/*
 * Blurs of interleaved planes, in place, edges repeated. Written row by row over whole rows, since a room's frames
 * are blurred some thousand times.
 */

/** Sums `weights`-ed rows of `source` (rows at `from`, `from + stride`, …) into `target` at `to`. */
const weighRows = (
  target: Float32Array,
  to: number,
  source: Float32Array,
  starts: Int32Array,
  weights: Float64Array,
  length: number,
): void => {
  for (let i = 0; i < length; i++) target[to + i] = weights[0]! * source[starts[0]! + i]!;
  for (let k = 1; k < weights.length; k++) {
    const weight = weights[k]!;
    const start = starts[k]!;
    for (let i = 0; i < length; i++) target[to + i]! += weight * source[start + i]!;
  }
};

/** A row with its ends repeated `radius` pixels beyond. */
const padRow = (
  data: Float32Array,
  start: number,
  width: number,
  channels: number,
  radius: number,
  padded: Float32Array,
): void => {
  padded.set(data.subarray(start, start + width * channels), radius * channels);
  for (let i = 0; i < radius * channels; i++) {
    padded[i] = data[start + (i % channels)]!;
    padded[(radius + width) * channels + i] = data[start + (width - 1) * channels + (i % channels)]!;
  }
};

/** Separable Gaussian blur. Sigma in pixels; under 0.25 nothing happens. */
export const blur = (data: Float32Array, width: number, height: number, channels: number, sigma: number): void => {
  if (sigma < 0.25) return;
  const radius = Math.ceil(sigma * 3);
  const weights = Float64Array.from({length: 2 * radius + 1}, (_, i) =>
    Math.exp(-((i - radius) ** 2) / (2 * sigma ** 2)),
  );
  const total = weights.reduce((sum, weight) => sum + weight, 0);
  for (let k = 0; k < weights.length; k++) weights[k]! /= total;
  const row = width * channels;
  const padded = new Float32Array(row + 2 * radius * channels);
  const starts = Int32Array.from(weights, (_, k) => k * channels);
  for (let y = 0; y < height; y++) {
    padRow(data, y * row, width, channels, radius, padded);
    weighRows(data, y * row, padded, starts, weights, row);
  }
  const source = Float32Array.from(data);
  for (let y = 0; y < height; y++) {
    for (let k = 0; k < weights.length; k++) starts[k] = Math.min(height - 1, Math.max(0, y + k - radius)) * row;
    weighRows(data, y * row, source, starts, weights, row);
  }
};

/** Three box blurs: close to a Gaussian of a large sigma, at a cost that doesn't grow with it. */
export const broadBlur = (data: Float32Array, width: number, height: number, channels: number, sigma: number): void => {
  const coarse = Math.min(6, Math.floor(sigma / 2.5));
  if (coarse < 2) boxBlurs(data, width, height, channels, sigma);
  else coarseBlur(data, width, height, channels, sigma, coarse);
};

/** The same on a picture made smaller first: what is that broad needs no finer one. */
const coarseBlur = (
  data: Float32Array,
  width: number,
  height: number,
  channels: number,
  sigma: number,
  factor: number,
): void => {
  const w = Math.ceil(width / factor);
  const h = Math.ceil(height / factor);
  const small = new Float32Array(w * h * channels);
  for (let y = 0; y < h * factor; y++) {
    const from = Math.min(height - 1, y) * width;
    const to = Math.floor(y / factor) * w;
    for (let x = 0; x < w * factor; x++) {
      const source = (from + Math.min(width - 1, x)) * channels;
      const target = (to + Math.floor(x / factor)) * channels;
      for (let c = 0; c < channels; c++) small[target + c]! += data[source + c]!;
    }
  }
  const share = 1 / (factor * factor);
  for (let i = 0; i < small.length; i++) small[i]! *= share;
  boxBlurs(small, w, h, channels, sigma / factor);
  for (let y = 0; y < height; y++) {
    const sy = Math.min(h - 1, Math.max(0, (y + 0.5) / factor - 0.5));
    const y0 = Math.min(h - 2, Math.floor(sy));
    const fy = sy - y0;
    for (let x = 0; x < width; x++) {
      const sx = Math.min(w - 1, Math.max(0, (x + 0.5) / factor - 0.5));
      const x0 = Math.min(w - 2, Math.floor(sx));
      const fx = sx - x0;
      const at = (y0 * w + x0) * channels;
      for (let c = 0; c < channels; c++) {
        const top = small[at + c]! * (1 - fx) + small[at + channels + c]! * fx;
        const bottom = small[at + w * channels + c]! * (1 - fx) + small[at + (w + 1) * channels + c]! * fx;
        data[(y * width + x) * channels + c] = top * (1 - fy) + bottom * fy;
      }
    }
  }
};

const boxBlurs = (data: Float32Array, width: number, height: number, channels: number, sigma: number): void => {
  const radius = Math.max(1, Math.round((Math.sqrt(4 * sigma * sigma + 1) - 1) / 2));
  const row = width * channels;
  const share = 1 / (2 * radius + 1);
  const padded = new Float32Array(row + 2 * radius * channels);
  const sums = new Float64Array(row);
  for (let pass = 0; pass < 3; pass++) {
    for (let y = 0; y < height; y++) {
      padRow(data, y * row, width, channels, radius, padded);
      for (let c = 0; c < channels; c++) {
        let sum = 0;
        for (let k = 0; k < 2 * radius; k++) sum += padded[k * channels + c]!;
        for (let x = 0; x < width; x++) {
          sum += padded[(x + 2 * radius) * channels + c]!;
          data[y * row + x * channels + c] = sum * share;
          sum -= padded[x * channels + c]!;
        }
      }
    }
    const source = Float32Array.from(data);
    sums.fill(0);
    for (let k = -radius; k < radius; k++) {
      const from = Math.min(height - 1, Math.max(0, k)) * row;
      for (let i = 0; i < row; i++) sums[i]! += source[from + i]!;
    }
    for (let y = 0; y < height; y++) {
      const coming = Math.min(height - 1, y + radius) * row;
      const going = Math.max(0, y - radius) * row;
      for (let i = 0; i < row; i++) {
        sums[i]! += source[coming + i]!;
        data[y * row + i] = Math.max(0, sums[i]! * share);
        sums[i]! -= source[going + i]!;
      }
    }
  }
};
