import type {PixelEllipse} from '../pixel-ellipse.js';
import {REGION, type RegionMap} from '../regions.js';
import type {Points} from './head-points.js';

/** How far below the face the body is looked at, in heads. */
const DEPTH = 1.2;

/** About `count` points spread over neck, shoulders and chest, clear of the frame's edge. */
export const bodyPoints = (
  face: PixelEllipse,
  regions: RegionMap,
  width: number,
  height: number,
  count: number,
): Points => {
  const bottom = Math.min(height - 2, face.cy + face.ry * (1 + 2 * DEPTH));
  const half = 2.6 * face.ry;
  const step = Math.max(1, Math.sqrt((Math.max(0, bottom - face.cy) * 2 * half) / count));
  const xs: number[] = [];
  const ys: number[] = [];
  for (let y = face.cy + 0.8 * face.ry; y <= bottom; y += step) {
    for (let x = Math.max(1, face.cx - half); x <= Math.min(width - 2, face.cx + half); x += step) {
      const px = Math.round(x);
      const py = Math.round(y);
      if (regions[py * width + px] !== REGION.body) continue;
      xs.push(px);
      ys.push(py);
    }
  }
  return {xs: Float64Array.from(xs), ys: Float64Array.from(ys)};
};
