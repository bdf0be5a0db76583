/** A plane's value between its pixels, edges repeated. Positions count pixel centres: (0, 0) is the first pixel. */
export const sampleAt = (plane: Float32Array, width: number, height: number, x: number, y: number): number => {
  const cx = Math.max(0, Math.min(width - 1, x));
  const cy = Math.max(0, Math.min(height - 1, y));
  let x0 = cx | 0;
  let y0 = cy | 0;
  if (x0 > width - 2) x0 = Math.max(0, width - 2);
  if (y0 > height - 2) y0 = Math.max(0, height - 2);
  const fx = cx - x0;
  const fy = cy - y0;
  const at = y0 * width + x0;
  const right = width > 1 ? 1 : 0;
  const below = height > 1 ? width : 0;
  const top = plane[at]! + fx * (plane[at + right]! - plane[at]!);
  const bottom = plane[at + below]! + fx * (plane[at + below + right]! - plane[at + below]!);
  return top + fy * (bottom - top);
};
