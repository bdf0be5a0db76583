import {lengthOf, type Shape, thicknessOf} from './shapes.js';

/** Touching pixels that are fewer make no dash, and no trail. */
export const LEAST_PIXELS = 12;
/** What is like a line has at least this part of its light and sharpness, and its thickness within this part. */
const LIKE = 0.6;
/**
 * Of a trail of so many dashes or more, of which all but the odd ones are as long within this, one that is as long and as
 * thick as they are may be softer, and dimmer: on a bright face it is clipped before it is as bright as beside it.
 */
const LEAST_DASHES = 3;
const AS_LONG = 1.7;
const SOFT_DASH = 0.3;
const DIM_DASH = 0.4;
/**
 * A trail that was drawn off the sitter: its brightest, linear, how thick and sharp its line is, and how long its dashes are
 * in pixels; null if it isn't made of dashes that are alike.
 */
export type Line = {brightest: number; thickness: number; sharpness: number; dash: number | null};

const dashOf = (sets: readonly Shape[]): number | null => {
  const lengths = sets
    .filter(({pixels}) => pixels >= LEAST_PIXELS)
    .map(lengthOf)
    .sort((a, b) => a - b);
  const at = (part: number): number => lengths[Math.floor(part * (lengths.length - 1))]!;
  return lengths.length >= LEAST_DASHES && at(0.75) <= AS_LONG * at(0.25) ? at(0.5) : null;
};

/**
 * @param shapes what was drawn, and `dashes` its sets of touching pixels
 * @returns null where nothing was
 */
export const lineOf = (shapes: readonly Shape[], dashes: readonly Shape[]): Line | null => {
  const sumOf = (pick: (shape: Shape) => number): number => shapes.reduce((sum, shape) => sum + pick(shape), 0);
  const pixels = sumOf(shape => shape.pixels);
  if (pixels === 0) return null;
  return {
    brightest: shapes.reduce((most, {brightest}) => Math.max(most, brightest), 0),
    thickness: thicknessOf({pixels, onEdge: sumOf(shape => shape.onEdge)}),
    sharpness: sumOf(shape => shape.pixels * shape.sharpness) / pixels,
    dash: dashOf(dashes),
  };
};

/** Whether a part of something lies within LIKE of all of it. */
const isNear = (part: number): boolean => part >= LIKE && part <= 1 / LIKE;

/** Whether it is as bright, thick and sharp as a line, nearly. */
export const isLike = (shape: Shape, line: Line): boolean =>
  shape.brightest >= LIKE * line.brightest &&
  shape.sharpness >= LIKE * line.sharpness &&
  isNear(thicknessOf(shape) / line.thickness);

/**
 * Whether it is as long and thick as the dashes of a trail, and not much softer and dimmer.
 * @param length of its longest set of touching pixels
 */
export const isOneOfDashes = (shape: Shape, length: number, line: Line): boolean =>
  line.dash !== null &&
  isNear(length / line.dash) &&
  isNear(thicknessOf(shape) / line.thickness) &&
  shape.sharpness >= Math.max(SOFT_DASH, LIKE * line.sharpness) &&
  shape.brightest >= DIM_DASH * line.brightest;
