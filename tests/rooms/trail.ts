import type {Colour} from './drawn-head.js';
import {darkness, type LightMap, linearOf, smoothstep} from './light-map.js';
import type {Random} from './random.js';

/** One drawn line of the painting light; points in pixels. */
export type Stroke = {
  points: [x: number, y: number][];
  /** Half width in pixels: a Gaussian's sigma, or a flat tube's radius. */
  reach: number;
  brush: 'soft' | 'flat';
  /** Softness of a flat tube's edges, sigma in pixels. */
  edge: number;
  /** Level of its own light along the middle. */
  ev: number;
  /** Luminance 1. */
  tint: Colour;
  /** Pulsed: lit part of each period, and the period in pixels. */
  dash: {lit: number; period: number} | null;
  /** Slow wander of the level along the line, ± EV. */
  wander: number;
};

/** Points along a polyline at equal distances. */
const resample = (points: readonly [number, number][], step: number): [number, number][] => {
  const result: [number, number][] = [];
  let carried = 0;
  for (let i = 1; i < points.length; i++) {
    const [x0, y0] = points[i - 1]!;
    const [x1, y1] = points[i]!;
    const length = Math.hypot(x1 - x0, y1 - y0);
    let at = carried;
    while (at < length) {
      result.push([x0 + ((x1 - x0) * at) / length, y0 + ((y1 - y0) * at) / length]);
      at += step;
    }
    carried = at - length;
  }
  return result;
};

/** Draws strokes as light of their own: where lines overlap their light adds. */
export const drawTrail = (width: number, height: number, strokes: readonly Stroke[], random: Random): LightMap => {
  const map = darkness(width, height);
  for (const stroke of strokes) {
    const radius = Math.ceil(stroke.brush === 'soft' ? stroke.reach * 3.2 : stroke.reach + 2 * stroke.edge + 1);
    const step = Math.max(0.3, stroke.reach * 0.3);
    const brush = (r: number): number =>
      stroke.brush === 'soft'
        ? Math.exp(-(r * r) / (2 * stroke.reach ** 2))
        : 1 - smoothstep(stroke.reach - 2 * stroke.edge - 0.5, stroke.reach + 2 * stroke.edge + 0.5, r);
    let alongMiddle = 0;
    for (let k = -Math.ceil(radius / step); k <= Math.ceil(radius / step); k++)
      alongMiddle += brush(Math.abs(k * step));
    const phase = random.between(0, 6.28);
    const rate = random.between(0.6, 1.6) / Math.max(200, width * 0.3);
    // The brush as a table over the squared distance: it is asked some million times.
    const table = Float32Array.from({length: 257}, (_, i) => brush(Math.sqrt(i / 256) * radius));
    const perUnit = 256 / (radius * radius);
    const [red, green, blue] = stroke.tint;
    let n = 0;
    for (const [px, py] of resample(stroke.points, step)) {
      const along = step * n++;
      if (stroke.dash && along % stroke.dash.period > stroke.dash.lit * stroke.dash.period) continue;
      const level = linearOf(stroke.ev + stroke.wander * Math.sin(phase + along * rate * 6.28)) / alongMiddle;
      const yEnd = Math.min(height - 1, Math.floor(py + radius));
      const xEnd = Math.min(width - 1, Math.floor(px + radius));
      for (let y = Math.max(0, Math.ceil(py - radius)); y <= yEnd; y++) {
        for (let x = Math.max(0, Math.ceil(px - radius)); x <= xEnd; x++) {
          const squared = (x - px) * (x - px) + (y - py) * (y - py);
          const at = squared * perUnit;
          if (at >= 256) continue;
          const cell = Math.floor(at);
          const value = level * (table[cell]! + (table[cell + 1]! - table[cell]!) * (at - cell));
          const to = (y * width + x) * 3;
          map.data[to]! += value * red;
          map.data[to + 1]! += value * green;
          map.data[to + 2]! += value * blue;
        }
      }
    }
  }
  return map;
};

/** A colour scaled to luminance 1. */
export const ofLuminanceOne = ([r, g, b]: Colour): Colour => {
  const y = 0.2126 * r + 0.7152 * g + 0.0722 * b;
  return [r / y, g / y, b / y];
};
