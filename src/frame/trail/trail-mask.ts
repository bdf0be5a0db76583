import {REGION, type RegionMap} from '../regions.js';
import {bytes} from '../scratch.js';
import {bridgesAmong} from './bridges.js';
import {connectedComponents} from './components.js';
import {dilated, squaresAround} from './dilate.js';
import {isLike, isOneOfDashes, LEAST_PIXELS, type Line, lineOf} from './line.js';
import {shadowsAmong} from './moved-shadow.js';
import {BAND_LIGHT, type Candidates} from './own-light.js';
import {
  CERTAIN_ALL_OVER,
  dashesOffSitter,
  isAlmostOnSitter,
  isClear,
  isEvenRow,
  isRowOfDashes,
  partsOnSitter,
  SITTER_IN_LIGHT,
} from './parts.js';
import {lengthOf, type Shape, shapesOf, thicknessOf} from './shapes.js';
import {TRAIL_LIGHT} from './where-to-look.js';

/*
 * A trail is drawn: its light has edges, it runs on for some way, and where a pulsed lamp drew it, its dashes follow one
 * another closely. Candidates are therefore judged in groups of what lies close together.
 */

/** How far apart dashes of one trail may lie, and how long a trail is at least: parts of the frame's longer edge. */
const GAP = 0.026;
const LEAST_LENGTH = 0.03;
/** Least pixels of a group for its length: a few hot pixels in a row are fewer. */
const LEAST_DENSITY = 0.3;
/** What is nowhere so many times as bright as a trail's least must run on for that length: specks in a row are none. */
const FAINT = 1.5;
/**
 * Off the wall, with no trail elsewhere, touching pixels must run on for this part of the frame's longer edge somewhere,
 * unless all of them are sharp and beyond doubt.
 */
const LEAST_DASH = 0.02;
/** Least part of certain pixels. */
const LEAST_CERTAIN = 0.1;
/** And of one that nowhere lies on the wall: a painted trail mostly does, a fringe of the sitter never. */
const CERTAIN_OFF_WALL = 0.7;
/**
 * Less of a long one that is no thicker, in pixels for its length; or, where so much of it lies about the sitter, no thicker
 * than that wherever it turns back and crosses itself.
 */
const CERTAIN_IF_LINE = 0.35;
const LINE = 8;
const ABOUT_SITTER = 0.25;
/** Least change of light from one pixel to the next: light that fell on the wall by itself has soft edges. */
const LEAST_SHARPNESS = 0.035;
/** And of a band, which is so many times as bright as the new room light there: its edges are few against its pixels. */
const LEAST_SHARPNESS_OF_BAND = 0.015;
const OUTSHINES = 25;
/** And of what is less than so many times as bright as the new room light there: that light has patterns of its own. */
const LEAST_SHARPNESS_IN_LIGHT = 0.1;
const IN_LIGHT = 6;
/** And of what lies on the wall and runs on brighter than those patterns do. */
const LEAST_SHARPNESS_OF_LINE = 0.06;
/**
 * A group that runs on so far over the wall, or thinly beside the sitter, needs no certain pixel: a dim line shows as a
 * whole.
 */
const LONG = 0.12;
const THIN = 4;
/** What runs on so far in one, clear of all outlines, sharp and mostly off the sitter, needs fewer of them. */
const CERTAIN_IF_CLEAR = 0.45;
const CLEAR_OUTLINE = 0.05;
const CLEAR_SHARPNESS = 0.2;
/** And so does one that lies on the sitter, if it is so many times as long as thick, and sharper. */
const SLENDER = 15;
const SLENDER_SHARPNESS = 0.3;
/**
 * A group that lies on the sitter alone must be this much longer; less so where a trail of its brightness, or of this part
 * of it, is drawn elsewhere: then a dash on the body is enough, and somewhat more than that on the head.
 */
const ON_SITTER = 4.5;
const ON_HEAD_TOO = 2.5;
const ON_BODY_TOO = 1;
const AS_BRIGHT = 0.25;
/**
 * Beside new room light on it of so much, linear, what lies on the sitter alone, this part of it on the head, is thicker
 * than this part of the frame's longer edge and no sharper than this is the side that faces that light, unless such a line
 * is drawn elsewhere.
 */
const LIT = 0.004;
const SIDE_ON_HEAD = 0.2;
const SIDE_THICKNESS = 0.012;
const SIDE_SHARPNESS = 0.25;
/**
 * What is so many times as bright as the head's brightest, certain nearly all over and clear of the outline, is no misfit
 * of its light: a shorter line is enough.
 */
const GLARING = 2;
const ON_SITTER_GLARING = 1.5;
/** One that is also a dash like those elsewhere may be shorter still; so may one no brighter than a face, if it is sharp. */
const ON_SITTER_LIKE = 0.8;
/** Change of light from one pixel to the next that only lines have. */
const SHARP = 0.4;
/** A hand that moves faster, or a lamp that looks away, makes a trail dimmer, but not to less than this part of its most. */
const FRINGE = 0.05;
/**
 * A line comes onto the head from somewhere. What lies on the sitter alone, the head among it, is none beside a trail
 * elsewhere where it is dimmer than this part of it; where it is softer than the least of it, or a little less so but not
 * certain; a little dimmer, with edges so much softer or mostly where the head's outline may be; so many times as thick and
 * as much softer; or a part as thin, and mostly where the outline may be, or dim and doubtful: on a head that moved, light
 * and shadow fall otherwise, and its edges show as threads.
 */
const STRAY_LIGHT = 0.3;
const DIMMER = 0.6;
const STRAY_SHARPNESS = 0.35;
const SOFTEST = 0.25;
const STRAY_CERTAIN = 0.6;
const THICK = 1.5;
const THIN_BESIDE = 0.55;
const THREAD_LIGHT = 0.5;
const THREAD_CERTAIN = 0.85;
/** Threads that take up more of the head than this, together, are a line all the same: loops that overlap are thicker. */
const MOST_THREADS = 0.009;
const SOFT = 0.7;
/** What may be the head's outline, moved, where it is no more than so many times as bright as the new room light there. */
const OUTLINE_IN_LIGHT = 10;

/** Touching pixels that are fewer, and stand out by fewer σ altogether, are noise. */
const SPECK_PIXELS = 10;
const SPECK_SUM = 80;
const WALL_SPECK_PIXELS = 5;
const WALL_SPECK_SUM = 25;
/** Least part of certain pixels in a set on the sitter. */
const CERTAIN_ON_SITTER = 0.3;

/** More than half of it may be wall that the sitter hid before. */
const isUncovered = ({uncovered, pixels}: Shape): boolean => uncovered > 0.5 * pixels;

/** Least change of light from one pixel to the next, within what is a line or a band. */
const leastSharpness = ({brightest, newLight}: Shape): number =>
  brightest > BAND_LIGHT && brightest > OUTSHINES * newLight ? LEAST_SHARPNESS_OF_BAND : LEAST_SHARPNESS;

/**
 * @param longest the length of its longest set of touching pixels
 * @param elsewhere what was drawn off the sitter
 * @param headLight the brightest of the head, linear; 0 where that isn't known
 */
const isDrawn = (shape: Shape, longest: number, edge: number, elsewhere: Line | null, headLight: number): boolean => {
  // On the sitter alone many small misfits close to one another are no line; dashes on the body are, sharp and beyond doubt.
  const isSure = shape.sharpness >= SHARP && shape.certain >= CERTAIN_ALL_OVER * shape.pixels;
  const isRow = shape.onHead === 0 && isSure;
  const length = shape.offSitter > 0 || elsewhere || isRow ? lengthOf(shape) : longest;
  const too = shape.onHead > 0 ? ON_HEAD_TOO : ON_BODY_TOO;
  const isGlaring = isClear(shape) && headLight > 0 && shape.brightest > GLARING * headLight;
  const alone = isGlaring ? ON_SITTER_GLARING : ON_SITTER;
  const isAlike = (line: Line): boolean =>
    isOneOfDashes(shape, longest, line) ||
    (isClear(shape) && (isGlaring || shape.sharpness >= SHARP) && isLike(shape, line));
  const isDash = elsewhere !== null && isAlike(elsewhere);
  const beside = elsewhere && shape.brightest >= AS_BRIGHT * elsewhere.brightest ? Math.min(too, alone) : alone;
  const onSitter = isDash ? ON_SITTER_LIKE : beside;
  const isAlmost = isAlmostOnSitter(shape);
  const besideHead = isAlmost ? ON_HEAD_TOO : 1;
  const offSitter = isDash ? Math.min(ON_SITTER_LIKE, besideHead) : besideHead;
  const least = LEAST_LENGTH * edge * (shape.offSitter > 0 ? offSitter : onSitter);
  const isThinBesideSitter = shape.offSitter > 0.9 * shape.pixels && shape.pixels <= THIN * length;
  const isLong = length >= LONG * edge && (shape.onWall > 0.5 * shape.pixels || isThinBesideSitter);
  const isThinLoops = thicknessOf(shape) <= LINE && shape.offSitter > ABOUT_SITTER * shape.pixels;
  // Stripes of clothes that moved run on too, and softly.
  const mayBeLine = shape.offSitter > 0 || elsewhere !== null || shape.sharpness >= CLEAR_SHARPNESS;
  const isLine = mayBeLine && longest >= LONG * edge && (shape.pixels <= LINE * longest || isThinLoops);
  const isOffSitter = shape.offSitter > 0.5 * shape.pixels;
  const isClearLine =
    longest >= (isOffSitter ? LONG * edge : Math.max(LONG * edge, SLENDER * thicknessOf(shape))) &&
    shape.onOutline <= (isOffSitter ? CLEAR_OUTLINE : 2 * CLEAR_OUTLINE) * shape.pixels &&
    shape.sharpness >= (isOffSitter ? CLEAR_SHARPNESS : SLENDER_SHARPNESS);
  const offWall = isLine ? CERTAIN_IF_LINE : isClearLine ? CERTAIN_IF_CLEAR : CERTAIN_OFF_WALL;
  const certain = isLong ? 0 : shape.onWall > 0 ? LEAST_CERTAIN : offWall;
  const isSide =
    isAlmost &&
    shape.newLight > LIT &&
    shape.onHead > SIDE_ON_HEAD * shape.pixels &&
    thicknessOf(shape) > SIDE_THICKNESS * edge &&
    shape.sharpness < SIDE_SHARPNESS &&
    !(elsewhere && isLike(shape, elsewhere));
  const isWallLine = shape.onWall > 0.5 * shape.pixels && shape.onLine > 0.5 * shape.pixels;
  const inLight = isWallLine ? LEAST_SHARPNESS_OF_LINE : LEAST_SHARPNESS_IN_LIGHT;
  const isInLight = shape.brightest < (isAlmost ? SITTER_IN_LIGHT : IN_LIGHT) * shape.newLight;
  return (
    !isUncovered(shape) &&
    !isSide &&
    (shape.onWall > 0 || elsewhere || isSure || longest >= LEAST_DASH * edge) &&
    length >= least &&
    (shape.brightest >= FAINT * TRAIL_LIGHT || longest >= LEAST_LENGTH * edge) &&
    shape.pixels >= Math.max(LEAST_PIXELS, LEAST_DENSITY * length) &&
    shape.onOutline <= 0.5 * shape.pixels &&
    shape.certain >= (isLong ? 0 : Math.max(4, certain * shape.pixels)) &&
    shape.sharpness >= (isInLight ? inLight : leastSharpness(shape))
  );
};

/**
 * Which labelled sets are too small, for how little they stand out, to be more than noise; and which on the sitter stand
 * out so little, however many, that they are no more than a misfit.
 */
const doubtful = (
  {mask, sure}: Candidates,
  pixels: Int32Array,
  labels: Int32Array,
  count: number,
  regions: RegionMap,
): boolean[] => {
  const sizes = new Int32Array(count);
  const sums = new Float64Array(count);
  const certain = new Int32Array(count);
  const onSitter = new Int32Array(count);
  const onWall = new Int32Array(count);
  for (let i = 0; i < pixels.length; i++) {
    const at = pixels[i]!;
    const set = labels[i]! - 1;
    sizes[set] = sizes[set]! + 1;
    sums[set] = sums[set]! + sure[at]!;
    if (mask[at] === 2) certain[set] = certain[set]! + 1;
    if (regions[at] === REGION.wall) onWall[set] = onWall[set]! + 1;
    if (regions[at] === REGION.head || regions[at] === REGION.body) onSitter[set] = onSitter[set]! + 1;
  }
  return Array.from(
    sizes,
    (n, set) =>
      (onWall[set]! > 0.5 * n
        ? n < WALL_SPECK_PIXELS && sums[set]! < WALL_SPECK_SUM
        : n < SPECK_PIXELS && sums[set]! < SPECK_SUM) ||
      (onSitter[set]! > 0.5 * n && certain[set]! < CERTAIN_ON_SITTER * n),
  );
};

/** What lies on the sitter alone, the head among it. */
const isOnHeadAlone = ({onHead, offSitter}: Shape): boolean => onHead > 0 && offSitter === 0;

const isThread = (set: Shape, line: Line): boolean => thicknessOf(set) < THIN_BESIDE * line.thickness;

const isDoubtfulThread = (set: Shape, line: Line): boolean =>
  set.brightest < THREAD_LIGHT * line.brightest && set.certain < THREAD_CERTAIN * set.pixels;

/** What is none beside a trail elsewhere, threads apart. */
const isStray = (set: Shape, line: Line): boolean =>
  set.brightest < STRAY_LIGHT * line.brightest ||
  set.sharpness < (set.certain < STRAY_CERTAIN * set.pixels ? STRAY_SHARPNESS : SOFTEST) * line.sharpness ||
  (set.brightest < DIMMER * line.brightest &&
    (set.sharpness < STRAY_SHARPNESS * line.sharpness || set.onOutline > 0.5 * set.pixels)) ||
  (thicknessOf(set) > THICK * line.thickness && set.sharpness < SOFT * line.sharpness) ||
  (isThread(set, line) && (set.onOutline > 0.5 * set.pixels || isDoubtfulThread(set, line)));

/** Which drawn sets are none after all: on a head that moved, light falls otherwise than on the plates. */
const straysOf = (sets: readonly Shape[], isDrawnSet: readonly boolean[], regions: RegionMap): boolean[] => {
  const offSitter = sets.filter((set, n) => isDrawnSet[n] && set.offSitter > 0.5 * set.pixels);
  const line = lineOf(offSitter, offSitter);
  if (!line) return sets.map(() => false);
  const alone = sets.map((set, n) => isDrawnSet[n] === true && isOnHeadAlone(set));
  const isOdd = sets.map(
    (set, n) => alone[n] === true && !isOneOfDashes(set, lengthOf(set), line) && isStray(set, line),
  );
  const threads = sets.map((set, n) => alone[n] === true && !isOdd[n] && isThread(set, line));
  const onThreads = sets.reduce((sum, {onHead}, n) => sum + (threads[n] ? onHead : 0), 0);
  const areFew = onThreads > 0 && onThreads <= MOST_THREADS * countOf(regions, REGION.head);
  return sets.map((_, n) => isOdd[n] === true || (areFew && threads[n] === true));
};

const countOf = (regions: RegionMap, region: number): number => {
  let count = 0;
  for (let at = 0; at < regions.length; at++) if (regions[at] === region) count++;
  return count;
};

/** The labels of some places. */
const labelsAt = (labels: Int32Array, places: Int32Array): Int32Array => {
  const out = new Int32Array(places.length);
  for (let i = 0; i < places.length; i++) out[i] = labels[places[i]!]!;
  return out;
};

/** How many cells of the grid on which groups are found make half the gap between dashes. */
const CELLS = 3;

/** Groups pixels that lie no further apart than `gap`, on a grid of cells that is fine enough for it. */
const grouped = (
  pixels: Int32Array,
  width: number,
  height: number,
  gap: number,
): {labels: Int32Array; count: number} => {
  const cell = Math.max(1, Math.round(gap / 2 / CELLS));
  const columns = Math.ceil(width / cell);
  const rows = Math.ceil(height / cell);
  const cells = bytes(columns * rows);
  const cellOf = new Int32Array(pixels.length);
  for (let i = 0; i < pixels.length; i++) {
    const at = pixels[i]!;
    const x = at % width;
    cellOf[i] = Math.floor((at - x) / width / cell) * columns + Math.floor(x / cell);
    cells[cellOf[i]!] = 1;
  }
  const reach = Math.max(1, Math.round(gap / 2 / cell - 0.25));
  const {labels, areas} = connectedComponents(dilated(cells, columns, rows, reach), columns, 4);
  return {labels: labelsAt(labels, cellOf), count: areas.length};
};

/** The trail's pixels. */
export const trailMask = (candidates: Candidates, regions: RegionMap, width: number, height: number): Uint8Array => {
  const edge = Math.max(width, height);
  const mask = bytes(candidates.mask.length);
  const {pixels, headLight} = candidates;
  if (pixels.length === 0) return mask;
  const measured = (of: Int32Array, labels: Int32Array, count: number): Shape[] =>
    shapesOf(candidates, of, labels, count, regions, width, height);
  const parts = connectedComponents(candidates.mask, width, 8, pixels);
  const partOf = labelsAt(parts.labels, pixels);
  const shapes = measured(pixels, partOf, parts.areas.length);
  const joined = connectedComponents(squaresAround(pixels, width, height), width, 4, pixels);
  const joinedOf = labelsAt(joined.labels, pixels);
  const isDoubtful = doubtful(candidates, pixels, joinedOf, joined.areas.length, regions);
  // Soft light is no part of a trail, however long the trail beside it.
  const isSharp = shapes.map(shape => shape.sharpness >= leastSharpness(shape) || shape.pixels < LEAST_PIXELS);
  const sharp = new Int32Array(pixels.length);
  let count = 0;
  for (let i = 0; i < pixels.length; i++) {
    if (!isDoubtful[joinedOf[i]! - 1] && isSharp[partOf[i]! - 1]) sharp[count++] = pixels[i]!;
  }
  const kept = sharp.subarray(0, count);
  const groups = grouped(kept, width, height, GAP * edge);
  const ofGroups = measured(kept, groups.labels, groups.count);
  const setOf = labelsAt(joined.labels, kept);
  const sets = measured(kept, setOf, joined.areas.length);
  const longest = new Array<number>(groups.count).fill(0);
  for (let i = 0; i < kept.length; i++) {
    const group = groups.labels[i]! - 1;
    longest[group] = Math.max(longest[group]!, lengthOf(sets[setOf[i]! - 1]!));
  }
  const isShadow = shadowsAmong(candidates.outOfShadow, kept, groups.labels, ofGroups);
  const groupOf = new Int32Array(sets.length);
  for (let i = 0; i < kept.length; i++) groupOf[setOf[i]! - 1] = groups.labels[i]! - 1;
  const isRow = ofGroups.map((shape, n) => {
    const own = sets.filter((_, set) => groupOf[set] === n);
    return isRowOfDashes(shape, own, LONG * edge, edge) || isEvenRow(shape, own, LEAST_PIXELS);
  });
  const drawnBeside = (elsewhere: Line | null): boolean[] =>
    ofGroups.map(
      (shape, n) => !isShadow[n] && (isRow[n] === true || isDrawn(shape, longest[n]!, edge, elsewhere, headLight)),
    );
  const first = drawnBeside(null);
  const isElsewhere = ofGroups.map(({offSitter}, n) => first[n] === true && offSitter > 0);
  const elsewhere = lineOf(
    ofGroups.filter((_, n) => isElsewhere[n]),
    sets.filter(({offSitter}, n) => isElsewhere[groupOf[n]!] && offSitter > 0),
  );
  const drawn = drawnBeside(elsewhere);
  // What lies close to a trail but apart from it, off the wall, and is nothing beside it, is a fringe of the sitter.
  const isFringe = sets.map(
    ({pixels: size, onWall, onOutline, brightest, newLight}) =>
      onWall === 0 &&
      (brightest < FRINGE * (elsewhere?.brightest ?? 0) ||
        (onOutline > 0.5 * size && brightest < OUTLINE_IN_LIGHT * newLight)),
  );
  const isWallAgain = sets.map(set => set.onHead > 0 && isUncovered(set));
  // A dash is one whatever lies about it.
  const isDash = (set: Shape): boolean => elsewhere !== null && isOneOfDashes(set, lengthOf(set), elsewhere);
  const onSitter = partsOnSitter(sets, edge, elsewhere !== null);
  const isPart = dashesOffSitter(sets, edge).map((isOne, n) => isOne || onSitter[n] === true);
  // And a long line.
  const isLongLine = (set: Shape): boolean =>
    set.offSitter > 0.5 * set.pixels &&
    lengthOf(set) >= LONG * edge &&
    isDrawn(set, lengthOf(set), edge, elsewhere, headLight);
  const isDrawnSet = sets.map(
    (set, n) =>
      set.pixels > 0 &&
      (drawn[groupOf[n]!] === true ||
        (!isShadow[groupOf[n]!] && (isDash(set) || isPart[n] === true || isLongLine(set)))),
  );
  const strays = straysOf(sets, isDrawnSet, regions);
  for (let i = 0; i < kept.length; i++) {
    const set = setOf[i]! - 1;
    if (isFringe[set] || strays[set] || isWallAgain[set] || candidates.uncovered[kept[i]!] === 1) continue;
    if (isDrawnSet[set]) mask[kept[i]!] = 1;
  }
  if (elsewhere) {
    const doubted = measured(pixels, joinedOf, joined.areas.length).map((set, n) => (isDoubtful[n] ? set : null));
    const isBridge = bridgesAmong(doubted, pixels, joinedOf, mask, elsewhere, GAP * edge, width);
    for (let i = 0; i < pixels.length; i++) if (isBridge[joinedOf[i]! - 1]) mask[pixels[i]!] = 1;
  }
  return mask;
};
