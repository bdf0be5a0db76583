import {REGION, type RegionMap} from '../regions.js';
import type {Candidates} from './own-light.js';

/** What a set of candidate pixels looks like. */
export type Shape = {
  pixels: number;
  /** Pixels that stand out beyond doubt. */
  certain: number;
  /** Pixels on the wall or about the sitter. */
  offSitter: number;
  /** Pixels on the wall alone. */
  onWall: number;
  /** Pixels on the head. */
  onHead: number;
  /** Pixels that may be the head's outline or what the sitter holds, moved, a pool of light that stayed, or pale in a leak. */
  onOutline: number;
  /** Pixels that may be wall which the sitter hid before. */
  uncovered: number;
  /** Pixels on lines that stand out from the pattern which new light shows. */
  onLine: number;
  /** Pixels beside one that is no candidate. */
  onEdge: number;
  left: number;
  right: number;
  top: number;
  bottom: number;
  /** Mean of how much the light changes from one pixel to the next, as a part of itself. */
  sharpness: number;
  /** Most of its own light. */
  brightest: number;
  /** Mean of new room light on it. */
  newLight: number;
};

const empty = (width: number, height: number): Shape => ({
  pixels: 0,
  certain: 0,
  offSitter: 0,
  onWall: 0,
  onHead: 0,
  onOutline: 0,
  uncovered: 0,
  onLine: 0,
  onEdge: 0,
  left: width,
  right: -1,
  top: height,
  bottom: -1,
  sharpness: 0,
  brightest: 0,
  newLight: 0,
});

/** Longest edge of a shape's box, in pixels. */
export const lengthOf = (shape: Shape): number => Math.max(0, shape.right - shape.left, shape.bottom - shape.top) + 1;

/** How thick a shape is, in pixels: a line's area over half its edge. */
export const thicknessOf = ({pixels, onEdge}: Pick<Shape, 'pixels' | 'onEdge'>): number =>
  (2 * pixels) / Math.max(1, onEdge);

const isOnEdge = (mask: Uint8Array, at: number, x: number, width: number): boolean =>
  (x > 0 && mask[at - 1] === 0) ||
  (x < width - 1 && mask[at + 1] === 0) ||
  (at >= width && mask[at - width] === 0) ||
  (at + width < mask.length && mask[at + width] === 0);

/**
 * Measures every labelled set.
 * @param pixels those that count
 * @param labels one for each of them, from 1 on; 0 belongs to none
 * @param count how many labels there are
 */
export const shapesOf = (
  {mask, own, outline, uncovered, lines, newLight}: Candidates,
  pixels: Int32Array,
  labels: Int32Array,
  count: number,
  regions: RegionMap,
  width: number,
  height: number,
): Shape[] => {
  const shapes = Array.from({length: count}, () => empty(width, height));
  for (let i = 0; i < pixels.length; i++) {
    const at = pixels[i]!;
    if (labels[i] === 0) continue;
    const shape = shapes[labels[i]! - 1]!;
    const x = at % width;
    const y = (at - x) / width;
    shape.pixels++;
    if (mask[at] === 2) shape.certain++;
    if (regions[at] === REGION.wall || regions[at] === REGION.near) shape.offSitter++;
    if (regions[at] === REGION.wall) shape.onWall++;
    if (regions[at] === REGION.head) shape.onHead++;
    if (outline[at] === 1) shape.onOutline++;
    if (uncovered[at] === 1) shape.uncovered++;
    if (lines?.[at] === 1) shape.onLine++;
    if (isOnEdge(mask, at, x, width)) shape.onEdge++;
    if (x < shape.left) shape.left = x;
    if (x > shape.right) shape.right = x;
    if (y < shape.top) shape.top = y;
    if (y > shape.bottom) shape.bottom = y;
    shape.newLight += newLight[at]!;
    const light = own[at]!;
    if (light > shape.brightest) shape.brightest = light;
    const across = own[x < width - 1 ? at + 1 : at]! - own[x > 0 ? at - 1 : at]!;
    const down = own[y < height - 1 ? at + width : at]! - own[y > 0 ? at - width : at]!;
    shape.sharpness += (0.5 * Math.sqrt(across * across + down * down)) / light;
  }
  for (const shape of shapes) {
    if (shape.pixels === 0) continue;
    shape.sharpness /= shape.pixels;
    shape.newLight /= shape.pixels;
  }
  return shapes;
};
