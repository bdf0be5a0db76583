import {medianOf} from '../robust.js';
import {isNear, LIKE} from './line.js';
import {lengthOf, type Shape, thicknessOf} from './shapes.js';

/*
 * What is a part of a trail by itself, whatever lies about it and however short it is.
 */

/** Least part of certain pixels, and most of those that may be the outline, in what is beyond doubt. */
export const CERTAIN_ALL_OVER = 0.9;
const CLEAR_OUTLINE = 0.1;
/** On the sitter, who may be paler than the wall and nearer to where new light comes from: it is so many times outshone. */
export const SITTER_IN_LIGHT = 12;
/** What lies off the sitter by less than this part of it is as good as on the sitter. */
const ALMOST = 0.1;

/**
 * On the sitter alone, and however short: what is certain nearly all over, clear of the outline, sharp and no thread, is a
 * part of a trail where one is drawn elsewhere, or where all such parts have so many pixels together; and so is what is so
 * large, if it is a little less certain. All are parts of the frame's longer edge, or of its square.
 */
const PART_SHARPNESS = 0.27;
const PART_THICKNESS = 0.005;
const PART_PIXELS = 0.00015;
const PARTS_PIXELS = 0.0004;
const LARGE_PIXELS = 0.0015;
const LARGE_CERTAIN = 0.75;
const LARGE_SHARPNESS = 0.35;
/** A stroke, so long, as a part of the edge and for its thickness, and sharper, may lie a little on the outline. */
const STROKE = 0.05;
const STROKE_SLENDER = 6;
const STROKE_SHARPNESS = 0.5;
const STROKE_OUTLINE = 0.2;

/** A dash that counts by itself, or in a row, has so many pixels: a part of the square of the frame's longer edge. */
const DASH_PIXELS = 0.00006;
/** A row of dashes: how many at least, which part of its group, and what each of them must be. */
const LEAST_ROW = 5;
const ROW_PART = 0.75;
const ROW_CERTAIN = 0.45;
const ROW_SHARPNESS = 0.13;
const ROW_OUTLINE = 0.2;

/** Certain nearly all over and clear of the outline. */
export const isClear = ({pixels, certain, onOutline}: Shape): boolean =>
  certain > CERTAIN_ALL_OVER * pixels && onOutline < CLEAR_OUTLINE * pixels;

export const isAlmostOnSitter = ({offSitter, pixels}: Shape): boolean => offSitter < ALMOST * pixels;

/**
 * Whether a group is a row of dashes: so many sets of one thickness and brightness, none of them much shorter than most, are
 * a pulsed lamp's wherever they lie.
 * @param own the group's sets
 * @param least length of a row, and `edge` the frame's longer edge, in pixels
 */
export const isRowOfDashes = (group: Shape, own: readonly Shape[], least: number, edge: number): boolean => {
  if (lengthOf(group) < least || group.onOutline > ROW_OUTLINE * group.pixels) return false;
  const some = own.filter(({pixels}) => pixels >= DASH_PIXELS * edge ** 2);
  if (some.length < LEAST_ROW) return false;
  const typical = (of: (set: Shape) => number): number => medianOf(some.map(of));
  const length = typical(lengthOf);
  const thickness = typical(thicknessOf);
  const brightest = typical(set => set.brightest);
  const row = some.filter(
    set =>
      set.certain >= ROW_CERTAIN * set.pixels &&
      set.sharpness >= ROW_SHARPNESS &&
      set.brightest > SITTER_IN_LIGHT * set.newLight &&
      lengthOf(set) > LIKE * length &&
      isNear(thicknessOf(set) / thickness) &&
      isNear(set.brightest / brightest),
  );
  const pixels = row.reduce((sum, set) => sum + set.pixels, 0);
  return row.length >= LEAST_ROW && pixels >= ROW_PART * group.pixels;
};

/** Small dashes on the head are a row where they follow one another evenly and without a turn: by these parts, and degrees. */
const LEAST_EVEN = [0.65, 1.5] as const;
const MOST_TURN = Math.cos((35 * Math.PI) / 180);
const EVEN_CERTAIN = 0.6;
const EVEN_SHARPNESS = 0.3;
const EVEN_OUTLINE = 0.6;

type Point = {x: number; y: number};

const middleOf = ({left, right, top, bottom}: Shape): Point => ({x: (left + right) / 2, y: (top + bottom) / 2});

const areEven = (points: readonly Point[]): boolean => {
  const steps = points.slice(1).map((to, n) => ({x: to.x - points[n]!.x, y: to.y - points[n]!.y}));
  const lengths = steps.map(({x, y}) => Math.hypot(x, y));
  const typical = medianOf(lengths);
  const [least, most] = LEAST_EVEN;
  return steps.every((step, n) => {
    const before = steps[n - 1] ?? step;
    const turn = (step.x * before.x + step.y * before.y) / (lengths[n]! * (lengths[n - 1] ?? lengths[n]!));
    return lengths[n]! >= least * typical && lengths[n]! <= most * typical && turn >= MOST_TURN;
  });
};

/**
 * Whether a group on the head is a row of small dashes that follow one another evenly. On clothes patterns do too.
 * @param own the group's sets
 * @param least pixels of a dash
 */
export const isEvenRow = (group: Shape, own: readonly Shape[], least: number): boolean => {
  if (
    group.onHead <= 0.5 * group.pixels ||
    group.certain < EVEN_CERTAIN * group.pixels ||
    group.sharpness < EVEN_SHARPNESS ||
    group.onOutline > EVEN_OUTLINE * group.pixels
  )
    return false;
  const dashes = own.filter(({pixels}) => pixels >= least);
  if (dashes.length < LEAST_ROW) return false;
  const thickness = medianOf(dashes.map(thicknessOf));
  const brightest = medianOf(dashes.map(set => set.brightest));
  const areLike = dashes.every(set => isNear(thicknessOf(set) / thickness) && isNear(set.brightest / brightest));
  const isWide = group.right - group.left > group.bottom - group.top;
  const middles = dashes.map(middleOf).toSorted((a, b) => (isWide ? a.x - b.x : a.y - b.y));
  return areLike && areEven(middles);
};

/** Off the sitter: sharp and mostly certain, so large and so thick. One may be a glint; two and more are dashes, far apart. */
const DASH_SHARPNESS = 0.4;
const DASH_CERTAIN = 0.8;
const DASH_THICKNESS = 0.0045;
const LEAST_DASHES = 2;

/**
 * Which sets are dashes of a trail off the sitter, whatever lies about them.
 * @param edge the frame's longer edge in pixels
 */
export const dashesOffSitter = (sets: readonly Shape[], edge: number): boolean[] => {
  const isDash = sets.map(
    set =>
      set.pixels >= DASH_PIXELS * edge ** 2 &&
      set.offSitter >= (1 - ALMOST) * set.pixels &&
      set.sharpness >= DASH_SHARPNESS &&
      thicknessOf(set) >= DASH_THICKNESS * edge &&
      set.certain >= DASH_CERTAIN * set.pixels &&
      set.onOutline < CLEAR_OUTLINE * set.pixels &&
      set.uncovered < CLEAR_OUTLINE * set.pixels,
  );
  return isDash.filter(Boolean).length >= LEAST_DASHES ? isDash : sets.map(() => false);
};

const isStroke = (set: Shape, edge: number): boolean =>
  set.certain > CERTAIN_ALL_OVER * set.pixels &&
  set.onOutline < STROKE_OUTLINE * set.pixels &&
  set.sharpness >= STROKE_SHARPNESS &&
  lengthOf(set) >= Math.max(STROKE * edge, STROKE_SLENDER * thicknessOf(set));

/**
 * Which sets are parts of a trail on the sitter, whatever lies about them.
 * @param edge the frame's longer edge in pixels
 * @param isElsewhere whether a trail is drawn off the sitter
 */
export const partsOnSitter = (sets: readonly Shape[], edge: number, isElsewhere: boolean): boolean[] => {
  const isPart = sets.map(
    set =>
      set.pixels >= PART_PIXELS * edge ** 2 &&
      isAlmostOnSitter(set) &&
      set.sharpness >= PART_SHARPNESS &&
      thicknessOf(set) >= PART_THICKNESS * edge &&
      (isClear(set) || isStroke(set, edge)),
  );
  const all = sets.reduce((sum, {pixels}, n) => sum + (isPart[n] ? pixels : 0), 0);
  const areEnough = isElsewhere || all >= PARTS_PIXELS * edge ** 2;
  return sets.map(
    (set, n) =>
      (areEnough && isPart[n] === true) ||
      (set.pixels >= LARGE_PIXELS * edge ** 2 &&
        isAlmostOnSitter(set) &&
        set.certain >= LARGE_CERTAIN * set.pixels &&
        set.onOutline < CLEAR_OUTLINE * set.pixels &&
        set.sharpness >= LARGE_SHARPNESS),
  );
};
