import {lengthOf, type Shape, thicknessOf} from './shapes.js';

/** Touching pixels that are fewer make no dash, and no trail. */
export const LEAST_PIXELS = 12;
/** What is like a line has at least this part of its light and sharpness, and its thickness within this part. */
export const LIKE = 0.6;
/**
 * Of a trail of so many dashes or more, of which all but the odd ones are as long within this, one that is as long and as
 * thick as they are may be softer: on a bright face it is clipped before it is as bright as beside it.
 */
const LEAST_DASHES = 3;
const AS_LONG = 1.7;
const SOFT_DASH = 0.3;
/** Least part of certain pixels in a dash, and most of those that may be the head's outline. */
const DASH_CERTAIN = 0.8;
const DASH_OUTLINE = 0.35;
/** How long the dashes of a trail are, in pixels, and how bright the dimmer ones, linear. */
export type Dash = {length: number; light: number};
/**
 * A trail that was drawn off the sitter: its brightest, linear, how thick and sharp its line is, and its dashes; null if it
 * isn't made of dashes that are alike.
 */
export type Line = {brightest: number; thickness: number; sharpness: number; dash: Dash | null};

const dashOf = (sets: readonly Shape[]): Dash | null => {
  const dashes = sets.filter(({pixels}) => pixels >= LEAST_PIXELS);
  const sorted = (values: number[]) => values.sort((a, b) => a - b);
  const at = (values: number[], part: number): number => values[Math.floor(part * (values.length - 1))]!;
  const lengths = sorted(dashes.map(lengthOf));
  if (lengths.length < LEAST_DASHES || at(lengths, 0.75) > AS_LONG * at(lengths, 0.25)) return null;
  return {length: at(lengths, 0.5), light: at(sorted(dashes.map(({brightest}) => brightest)), 0.25)};
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
export const isNear = (part: number): boolean => part >= LIKE && part <= 1 / LIKE;

/** Whether it is as bright, thick and sharp as a line, nearly. */
export const isLike = (shape: Shape, line: Line): boolean =>
  shape.brightest >= LIKE * line.brightest &&
  shape.sharpness >= LIKE * line.sharpness &&
  isNear(thicknessOf(shape) / line.thickness);

/**
 * Whether it is as long and thick as the dashes of a trail, not much softer, and not much dimmer than the dimmer of them: a
 * lamp that is moved looks now at the camera and now aside.
 * @param length of its longest set of touching pixels
 */
export const isOneOfDashes = (shape: Shape, length: number, line: Line): boolean =>
  line.dash !== null &&
  shape.certain >= DASH_CERTAIN * shape.pixels &&
  shape.onOutline <= DASH_OUTLINE * shape.pixels &&
  isNear(length / line.dash.length) &&
  isNear(thicknessOf(shape) / line.thickness) &&
  shape.sharpness >= Math.max(SOFT_DASH, LIKE * line.sharpness) &&
  shape.brightest >= LIKE * line.dash.light;
