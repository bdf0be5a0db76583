import {type FineTable, fineLight, fineTable, type ToneTable} from './curve/tone-curve.js';
import {luminanceOf} from './luma.js';
import {type Doubts, doubtsOf} from './pixel-doubt.js';
import {type PixelEllipse, radiiSquared} from './pixel-ellipse.js';
import type {PreparedPlates} from './prepared-plates.js';
import {REGION, type RegionMap} from './regions.js';
import type {Placement} from './register/pose.js';
import {type NewLightGrid, newLightAt} from './room/new-light-grid.js';
import {bytes, floats, integers} from './scratch.js';
import type {WorkImage} from './work-image.js';

/** A light that takes part: which of the plates' lights, how strong, and where its pops found the head. */
export type ActiveLight = {index: number; power: number; placement: Placement};

/**
 * What the plates say that some pixels should hold, and what they hold beyond that: linear, scene-referred, three values
 * a pixel (red, green, blue).
 */
export type PixelLight = {
  /** The pixels, as places in the frame's planes, in their order. */
  at: Int32Array;
  expected: Float32Array;
  /** Beyond the plates and new room light; 0 on the sitter where a plate would have to show what lay outside its frame. */
  rest: Float32Array;
  /** New room light on each pixel, luminance. */
  newLight: Float32Array;
  /** Which pixels are taken to be the wall's. */
  isWall: Uint8Array;
  /** What the wall would show there by the plates, and the rest if it did; luminance, 0 and infinite within the face. */
  wallExpected: Float32Array;
  wallRest: Float32Array;
  /** What tells how uncertain the rest is. */
  doubts: Doubts;
};

const channels = ['r', 'g', 'b'] as const;

/** Within this part of the face ellipse's radii there is nothing but the head; a jaw may leave wall to be seen beyond it. */
const ALL_HEAD = 0.7;
const MOSTLY_HEAD = 0.85;
/** By so much better must the wall explain a pixel that is rather the sitter's; and one that is nearly surely so. */
const BETTER = 0.6;
const MUCH_BETTER = 0.25;

/** Everything that a frame's light is made of, as far as it is known. */
export type Known = {
  lights: readonly ActiveLight[];
  /** Where the dark plate shows the sitter of the frame; null where it doesn't. */
  inDark: Placement | null;
  newLight: NewLightGrid;
  curve: ToneTable;
  regions: RegionMap;
  /** The face ellipse in the frame. */
  face: PixelEllipse;
};

/**
 * Adds up the plates for some pixels. The wall stays where it is; the sitter is taken from where the pose finds it. Except
 * within the face, it isn't known which of both a pixel about the sitter is: the one that explains more of the frame holds.
 */
export const pixelLight = (frame: WorkImage, plates: PreparedPlates, known: Known, at: Int32Array): PixelLight => {
  const {lights, regions} = known;
  const kinds = kindsOf(frame, known, at);
  const isBeyond = bytes(at.length);
  const cells = lights.map(({placement}) => cellsThrough(placement, frame, kinds, at, isBeyond));
  // The dark room's light on the sitter is faint and soft: there an edge repeated is near enough.
  const inDark = known.inDark && cellsThrough(known.inDark, frame, kinds, at, bytes(at.length));
  const seen = floats(3 * at.length);
  const still = floats(3 * at.length);
  const moved = floats(3 * at.length);
  channels.forEach((channel, c) => {
    const dark = plates.dark?.[channel] ?? null;
    const own = lights.map(({index}) => plates.lights[index]!.image[channel]);
    fillChannel({seen: frame[channel], dark, own}, known, kinds, cells, inDark, frame, at, {seen, still, moved}, c);
  });
  const doubts = doubtsOf(frame, plates, lights, known.curve, regions, at);
  return {at, ...chosen(frame, plates, known, kinds, isBeyond, at, {seen, still, moved}), doubts};
};

/** Whose light a pixel may show: the wall's, the sitter's, it isn't known which, or the sitter's all but surely. */
const KIND = {wall: 0, either: 1, rather: 2, sitter: 3} as const;

const kindsOf = ({width}: WorkImage, {regions, face}: Known, at: Int32Array): Uint8Array => {
  const kinds = bytes(at.length);
  for (let i = 0; i < at.length; i++) {
    const pixel = at[i]!;
    const region = regions[pixel]!;
    if (region === REGION.wall) continue;
    const x = pixel % width;
    const radii = region === REGION.head ? radiiSquared(face, x, (pixel - x) / width) : Number.POSITIVE_INFINITY;
    kinds[i] = radii < ALL_HEAD ** 2 ? KIND.sitter : radii < MOSTLY_HEAD ** 2 ? KIND.rather : KIND.either;
  }
  return kinds;
};

/** One channel of frame and plates. */
type Channel = {seen: Float32Array; dark: Float32Array | null; own: readonly Float32Array[]};

/** Light that was seen, and what the plates give if the pixel is the wall's, or the sitter's; three values a pixel. */
type Light = {seen: Float32Array; still: Float32Array; moved: Float32Array};

const fillChannel = (
  {seen, dark, own}: Channel,
  {lights, curve}: Known,
  kinds: Uint8Array,
  cells: readonly Cells[],
  inDark: Cells | null,
  {width, height}: WorkImage,
  at: Int32Array,
  out: Light,
  c: number,
): void => {
  const fine = fineTable(curve);
  // A light's own is its plate's less the dark plate's: what is left of the dark one, and then each plate.
  const left = lights.reduce((sum, {power}) => sum - power, 1);
  fillDark(seen, dark, left, fine, at, out, inDark === null, c);
  const [right, below] = [width > 1 ? 1 : 0, height > 1 ? width : 0];
  if (dark && inDark) {
    // The room's own light lies on the sitter where the sitter is.
    addMoved(dark, left, fine, inDark, kinds, out.moved, right, below, c);
  }
  for (let k = 0; k < lights.length; k++) {
    const {power} = lights[k]!;
    addStill(own[k]!, power, fine, kinds, at, out.still, c);
    addMoved(own[k]!, power, fine, cells[k]!, kinds, out.moved, right, below, c);
  }
};

// Apart, each a loop over planes of one kind: together they take twice as long.

const fillDark = (
  seen: Float32Array,
  dark: Float32Array | null,
  left: number,
  fine: FineTable,
  at: Int32Array,
  out: Light,
  isStill: boolean,
  c: number,
): void => {
  for (let i = 0, n = c; i < at.length; i++, n += 3) {
    const pixel = at[i]!;
    const base = dark === null ? 0 : left * fineLight(fine, dark[pixel]!);
    out.seen[n] = fineLight(fine, seen[pixel]!);
    out.still[n] = base;
    out.moved[n] = isStill ? base : 0;
  }
};

const addStill = (
  plane: Float32Array,
  power: number,
  fine: FineTable,
  kinds: Uint8Array,
  at: Int32Array,
  still: Float32Array,
  c: number,
): void => {
  for (let i = 0, n = c; i < at.length; i++, n += 3) {
    if (kinds[i] === KIND.sitter) continue;
    still[n] = still[n]! + power * fineLight(fine, plane[at[i]!]!);
  }
};

const addMoved = (
  plane: Float32Array,
  power: number,
  fine: FineTable,
  {corners, across, down}: Cells,
  kinds: Uint8Array,
  moved: Float32Array,
  right: number,
  below: number,
  c: number,
): void => {
  for (let i = 0, n = c; i < kinds.length; i++, n += 3) {
    if (kinds[i] === KIND.wall) continue;
    const corner = corners[i]!;
    const fx = across[i]!;
    const top = plane[corner]! + fx * (plane[corner + right]! - plane[corner]!);
    const bottom = plane[corner + below]! + fx * (plane[corner + below + right]! - plane[corner + below]!);
    moved[n] = moved[n]! + power * fineLight(fine, top + down[i]! * (bottom - top));
  }
};

/** For each pixel the wall's light or the sitter's, whichever it is. */
const chosen = (
  {width}: WorkImage,
  {reflectance}: PreparedPlates,
  {newLight: grid, regions}: Known,
  kinds: Uint8Array,
  isBeyond: Uint8Array,
  at: Int32Array,
  {seen, still, moved}: Light,
): Omit<PixelLight, 'at' | 'doubts'> => {
  const expected = floats(3 * at.length);
  const rest = floats(3 * at.length);
  const newLight = floats(at.length);
  const isWall = bytes(at.length);
  const wallExpected = floats(at.length);
  const wallRest = floats(at.length);
  for (let i = 0, n = 0; i < at.length; i++, n += 3) {
    const pixel = at[i]!;
    const kind = kinds[i]!;
    const x = pixel % width;
    const y = (pixel - x) / width;
    const onSitter = newLightAt(grid, x, y);
    // Where the wall reflects more it also shows more of the new light. That it reflects less is not relied on.
    const onWall = onSitter * Math.max(1, reflectance[pixel]!);
    let wall = kind === KIND.wall;
    if (kind === KIND.either || kind === KIND.rather) {
      let offWall = 0;
      let offSitter = 0;
      for (let c = n; c < n + 3; c++) {
        offWall += Math.abs(seen[c]! - still[c]! - onWall);
        offSitter += Math.abs(seen[c]! - moved[c]! - onSitter);
      }
      const part = kind === KIND.rather ? MUCH_BETTER : regions[pixel] === REGION.near ? 1 : BETTER;
      wall = offWall <= part * offSitter;
    }
    isWall[i] = wall ? 1 : 0;
    newLight[i] = wall ? onWall : onSitter;
    const from = wall ? still : moved;
    for (let c = n; c < n + 3; c++) {
      expected[c] = Math.max(0, from[c]!);
      rest[c] = wall || isBeyond[i] === 0 ? seen[c]! - expected[c]! - newLight[i]! : 0;
    }
    if (kind === KIND.sitter || kind === KIND.rather) {
      wallRest[i] = Number.POSITIVE_INFINITY;
    } else {
      wallExpected[i] = Math.max(0, luminanceOf(still, n));
      wallRest[i] = luminanceOf(seen, n) - wallExpected[i]! - onWall;
    }
  }
  return {expected, rest, newLight, isWall, wallExpected, wallRest};
};

/** Places between pixels: the pixel at the upper left of each, and how far on from it; 0 for the wall's pixels. */
type Cells = {corners: Int32Array; across: Float32Array; down: Float32Array};

/** A plate shows a place if it lies no further outside than this, in pixels. */
const JUST_OUTSIDE = 1;

/**
 * Where a pose finds the pixels about the sitter on a plate. Edges are repeated.
 * @param isBeyond becomes 1 where the plate doesn't show a pixel, the sitter having come in from beyond the frame's edge
 */
const cellsThrough = (
  p: Placement,
  {width, height}: WorkImage,
  kinds: Uint8Array,
  at: Int32Array,
  isBeyond: Uint8Array,
): Cells => {
  const cells: Cells = {corners: integers(at.length), across: floats(at.length), down: floats(at.length)};
  const {corners, across, down} = cells;
  const [lastX, lastY] = [Math.max(0, width - 2), Math.max(0, height - 2)];
  for (let i = 0; i < at.length; i++) {
    if (kinds[i] === KIND.wall) continue;
    const pixel = at[i]!;
    const x = pixel % width;
    const y = (pixel - x) / width;
    const px = p.ax * x + p.bx * y + p.cx;
    const py = p.ay * x + p.by * y + p.cy;
    const cx = Math.max(0, Math.min(width - 1, px));
    const cy = Math.max(0, Math.min(height - 1, py));
    if (Math.abs(px - cx) > JUST_OUTSIDE || Math.abs(py - cy) > JUST_OUTSIDE) isBeyond[i] = 1;
    const x0 = Math.min(cx | 0, lastX);
    const y0 = Math.min(cy | 0, lastY);
    corners[i] = y0 * width + x0;
    across[i] = cx - x0;
    down[i] = cy - y0;
  }
  return cells;
};
