import {evOf, linearOf} from './light-map.js';
import type {PixelEllipse} from './scene.js';

/** What a trail's own light is by the published definitions; all from layers, nothing from the picture. */
export type TrailTruth = {
  pixels: number;
  /** Part of 72 directions of 5° in which a trail pixel lies outside the ellipse. */
  coverage: number;
  directions: boolean[];
  /** Trail pixels inside the ellipse over the ellipse's pixels. */
  crossing: number;
  /** Heads from the ellipse's top to the nearest trail above it within half the ellipse's width of its middle. */
  headGap: number | null;
  /** The same within a quarter of the width: how the words might also be read. */
  headGapNarrow: number | null;
  /** Centroid of the trail's pixels against the ellipse's centre, in heads. */
  offset: {x: number; y: number};
  levelEv: number;
};

/** A trail pixel's own light is above this level. */
export const trailThresholdEv = -3;

/**
 * @param own luminance of the trail's own light on the sensor, one value a pixel
 * @returns null when no pixel is a trail pixel
 */
export const trailTruth = (
  own: Float32Array,
  width: number,
  ellipse: PixelEllipse,
  thresholdEv = trailThresholdEv,
): TrailTruth | null => {
  const {cx, cy, rx, ry} = ellipse;
  const threshold = linearOf(thresholdEv);
  const directions = new Array<boolean>(72).fill(false);
  const headPixels = 2 * ry;
  let pixels = 0;
  let inside = 0;
  let ofEllipse = 0;
  let sumX = 0;
  let sumY = 0;
  let nearest = Number.POSITIVE_INFINITY;
  let nearestNarrow = Number.POSITIVE_INFINITY;
  const levels: number[] = [];
  for (let i = 0; i < own.length; i++) {
    const x = (i % width) - cx;
    const y = Math.floor(i / width) - cy;
    const isInside = (x / rx) ** 2 + (y / ry) ** 2 <= 1;
    if (isInside) ofEllipse += 1;
    if (!(own[i]! > threshold)) continue;
    pixels += 1;
    sumX += x;
    sumY += y;
    if (pixels % 5 === 0) levels.push(own[i]!);
    if (isInside) inside += 1;
    else directions[Math.floor(((Math.atan2(y, x) * 180) / Math.PI + 360) / 5) % 72] = true;
    if (y < -ry && Math.abs(x) <= rx) {
      nearest = Math.min(nearest, -ry - y);
      if (Math.abs(x) <= rx / 2) nearestNarrow = Math.min(nearestNarrow, -ry - y);
    }
  }
  if (pixels === 0) return null;
  const heads = (distance: number): number | null => (Number.isFinite(distance) ? distance / headPixels : null);
  return {
    pixels,
    directions,
    coverage: directions.filter(Boolean).length / 72,
    crossing: inside / Math.max(1, ofEllipse),
    headGap: heads(nearest),
    headGapNarrow: heads(nearestNarrow),
    offset: {x: sumX / pixels / headPixels, y: sumY / pixels / headPixels},
    levelEv: evOf(levels.length > 0 ? median(levels) : threshold),
  };
};

/** Whether the head is crossed, said only where it is beyond doubt. */
export type CrossingTruth = 'none' | 'crossing' | 'unclear';

/** Light in a ellipse below this doesn't count for anybody. */
const nothingEv = -5;

/** Part of an ellipse's pixels (those in the frame) where the trail's own light is above a level. */
export const partInside = (own: Float32Array, width: number, ellipse: PixelEllipse, thresholdEv: number): number => {
  const {cx, cy, rx, ry} = ellipse;
  const threshold = linearOf(thresholdEv);
  const height = own.length / width;
  let inside = 0;
  let count = 0;
  for (let y = Math.max(0, Math.ceil(cy - ry)); y <= Math.min(height - 1, cy + ry); y++) {
    for (let x = Math.max(0, Math.ceil(cx - rx)); x <= Math.min(width - 1, cx + rx); x++) {
      if (((x - cx) / rx) ** 2 + ((y - cy) / ry) ** 2 > 1) continue;
      count += 1;
      if (own[y * width + x]! > threshold) inside += 1;
    }
  }
  return inside / Math.max(1, count);
};

/**
 * @param ellipses every ellipse that one might reasonably hold the trail against (as set, and moved with the head)
 */
export const crossingTruth = (own: Float32Array, width: number, ellipses: readonly PixelEllipse[]): CrossingTruth => {
  if (ellipses.every(ellipse => partInside(own, width, ellipse, nothingEv) === 0)) return 'none';
  return ellipses.every(ellipse => partInside(own, width, ellipse, trailThresholdEv) >= 0.0105)
    ? 'crossing'
    : 'unclear';
};

/** Whether there is a trail, said only where it is beyond doubt. */
export type TrailPresence = 'there' | 'none' | 'unclear';

export const trailPresence = (own: Float32Array): TrailPresence => {
  const above = (ev: number): number => {
    const threshold = linearOf(ev);
    return own.reduce((count, value) => (value > threshold ? count + 1 : count), 0);
  };
  if (above(-2.7) >= 30) return 'there';
  return above(-3.8) === 0 ? 'none' : 'unclear';
};

/** Whether coverage hangs on the exact threshold: then no reading can be held to it. */
export const coverageIsFirm = (own: Float32Array, width: number, ellipse: PixelEllipse): boolean => {
  const at = (ev: number): number => trailTruth(own, width, ellipse, ev)?.coverage ?? 0;
  return Math.abs(at(-3.4) - at(-2.7)) <= 0.03;
};

export const median = (values: readonly number[]): number => {
  const sorted = Float64Array.from(values).sort();
  return sorted[Math.floor(sorted.length / 2)] ?? 0;
};
