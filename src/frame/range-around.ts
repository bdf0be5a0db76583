/**
 * Most less least over 3 × 3 pixels around every pixel, edges repeated.
 * @returns a new plane
 */
export const rangeAround = (plane: Float32Array, width: number, height: number): Float32Array => {
  const least = new Float32Array(plane.length);
  const most = new Float32Array(plane.length);
  for (let y = 0, at = 0; y < height; y++) {
    for (let x = 0; x < width; x++, at++) {
      const middle = plane[at]!;
      const left = x > 0 ? plane[at - 1]! : middle;
      const right = x < width - 1 ? plane[at + 1]! : middle;
      least[at] = Math.min(left, middle, right);
      most[at] = Math.max(left, middle, right);
    }
  }
  const out = new Float32Array(plane.length);
  for (let y = 0, at = 0; y < height; y++) {
    const above = y > 0 ? -width : 0;
    const below = y < height - 1 ? width : 0;
    for (let x = 0; x < width; x++, at++) {
      out[at] =
        Math.max(most[at + above]!, most[at]!, most[at + below]!) -
        Math.min(least[at + above]!, least[at]!, least[at + below]!);
    }
  }
  return out;
};
