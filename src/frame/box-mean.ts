/**
 * Mean over squares of (2·radius + 1)², edges repeated.
 * @returns a new plane
 */
export const boxMean = (plane: Float32Array, width: number, height: number, radius: number): Float32Array => {
  const across = new Float32Array(plane.length);
  const part = 1 / (2 * radius + 1);
  for (let y = 0; y < height; y++) {
    const row = y * width;
    let sum = plane[row]! * radius;
    for (let x = 0; x < radius; x++) sum += plane[row + Math.min(width - 1, x)]!;
    for (let x = 0; x < width; x++) {
      sum += plane[row + Math.min(width - 1, x + radius)]!;
      across[row + x] = sum * part;
      sum -= plane[row + Math.max(0, x - radius)]!;
    }
  }
  const out = new Float32Array(plane.length);
  const sums = new Float64Array(width);
  for (let x = 0; x < width; x++) sums[x] = across[x]! * radius;
  for (let y = 0; y < radius; y++) {
    const row = Math.min(height - 1, y) * width;
    for (let x = 0; x < width; x++) sums[x] = sums[x]! + across[row + x]!;
  }
  for (let y = 0; y < height; y++) {
    const enters = Math.min(height - 1, y + radius) * width;
    const leaves = Math.max(0, y - radius) * width;
    for (let x = 0; x < width; x++) {
      sums[x] = sums[x]! + across[enters + x]!;
      out[y * width + x] = sums[x]! * part;
      sums[x] = sums[x]! - across[leaves + x]!;
    }
  }
  return out;
};
