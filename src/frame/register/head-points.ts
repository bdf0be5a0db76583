import {type PixelEllipse, radiiSquared} from '../pixel-ellipse.js';

/** Positions in whole pixels, one a point. */
export type Points = {xs: Float64Array; ys: Float64Array};

/**
 * About `count` points spread evenly over an ellipse grown by `reach`, clear of the frame's edge.
 */
export const headPoints = (face: PixelEllipse, width: number, height: number, reach: number, count: number): Points => {
  const area = Math.PI * face.rx * face.ry * reach * reach;
  const step = Math.max(1, Math.sqrt(area / count));
  const xs: number[] = [];
  const ys: number[] = [];
  for (let y = face.cy - reach * face.ry; y <= face.cy + reach * face.ry; y += step) {
    for (let x = face.cx - reach * face.rx; x <= face.cx + reach * face.rx; x += step) {
      const px = Math.round(x);
      const py = Math.round(y);
      if (px < 1 || py < 1 || px > width - 2 || py > height - 2) continue;
      if (radiiSquared(face, px, py) > reach * reach) continue;
      xs.push(px);
      ys.push(py);
    }
  }
  return {xs: Float64Array.from(xs), ys: Float64Array.from(ys)};
};
