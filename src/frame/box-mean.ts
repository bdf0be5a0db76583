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

/**
 * Mean over 3 × 3 pixels, edges repeated, of a plane that is 0 but for some pixels.
 * @returns a new plane
 */
export const meanOfFew = (plane: Float32Array, pixels: Int32Array, width: number, height: number): Float32Array => {
  const out = floats(plane.length);
  for (let i = 0; i < pixels.length; i++) {
    const at = pixels[i]!;
    const part = plane[at]! / 9;
    const x = at % width;
    const y = (at - x) / width;
    if (x > 0 && y > 0 && x < width - 1 && y < height - 1) {
      for (let to = at - width - 1; to <= at + width; to += width) {
        out[to] = out[to]! + part;
        out[to + 1] = out[to + 1]! + part;
        out[to + 2] = out[to + 2]! + part;
      }
      continue;
    }
    for (let row = -1; row <= 1; row++) {
      for (let column = -1; column <= 1; column++) {
        const [ox, oy] = [x + column, y + row];
        if (ox < 0 || oy < 0 || ox >= width || oy >= height) continue;
        const to = oy * width + ox;
        // At the frame's edge a pixel stands for what would lie beyond it too.
        const times = onceMore(ox, x, width) * onceMore(oy, y, height);
        out[to] = out[to]! + times * part;
      }
    }
  }
  return out;
};

/** How often a place looks at another along one edge: at itself twice where it is the first or last. */
const onceMore = (from: number, to: number, size: number): number =>
  from === to && (from === 0 || from === size - 1) ? (size === 1 ? 3 : 2) : 1;
