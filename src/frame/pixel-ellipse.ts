import type {Ellipse} from '../../shared/zones.js';

/** An ellipse in pixels; (0, 0) is the middle of the first pixel. */
export type PixelEllipse = {cx: number; cy: number; rx: number; ry: number};

/** From fractions of the frame to pixels. */
export const inPixels = (ellipse: Ellipse, width: number, height: number): PixelEllipse => ({
  cx: ellipse.cx * width - 0.5,
  cy: ellipse.cy * height - 0.5,
  rx: Math.max(1, ellipse.rx * width),
  ry: Math.max(1, ellipse.ry * height),
});

/** Squared distance from the centre in radii: 1 on the ellipse. */
export const radiiSquared = (ellipse: PixelEllipse, x: number, y: number): number =>
  ((x - ellipse.cx) / ellipse.rx) ** 2 + ((y - ellipse.cy) / ellipse.ry) ** 2;
