import {floats} from './scratch.js';

/**
 * Mean over squares of (2·radius + 1)², edges repeated.
 * @returns a new plane
 */
export const boxMean = (plane: Float32Array, width: number, height: number, radius: number): Float32Array => {
  const across = floats(plane.length);
  const part = 1 / (2 * radius + 1);
  for (let y = 0; y < height; y++) rowMeans(plane, across, y * width, width, radius, part);
  const out = floats(plane.length);
  const sums = new Float64Array(width);
  for (let x = 0; x < width; x++) sums[x] = across[x]! * radius;
  for (let y = 0; y < radius; y++) {
    const row = Math.min(height - 1, y) * width;
    for (let x = 0; x < width; x++) sums[x] = sums[x]! + across[row + x]!;
  }
  for (let y = 0; y < height; y++) {
    const enters = Math.min(height - 1, y + radius) * width;
    const leaves = Math.max(0, y - radius) * width;
    const row = y * width;
    for (let x = 0; x < width; x++) {
      const sum = sums[x]! + across[enters + x]!;
      out[row + x] = sum * part;
      sums[x] = sum - across[leaves + x]!;
    }
  }
  return out;
};

/** The same along one row; its ends apart, so that what lies between needs no looking where the edge is. */
const rowMeans = (
  plane: Float32Array,
  out: Float32Array,
  row: number,
  width: number,
  radius: number,
  part: number,
): void => {
  const last = row + width - 1;
  let sum = plane[row]! * radius;
  for (let x = 0; x < radius; x++) sum += plane[Math.min(last, row + x)]!;
  const inner = Math.max(row, last - radius);
  let at = row;
  for (; at < Math.min(row + radius, inner + 1); at++) {
    sum += plane[Math.min(last, at + radius)]!;
    out[at] = sum * part;
    sum -= plane[row]!;
  }
  for (; at <= inner; at++) {
    sum += plane[at + radius]!;
    out[at] = sum * part;
    sum -= plane[at - radius]!;
  }
  for (; at <= last; at++) {
    sum += plane[last]!;
    out[at] = sum * part;
    sum -= plane[Math.max(row, at - radius)]!;
  }
};
