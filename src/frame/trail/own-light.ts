import {meanOfFew} from '../box-mean.js';
import {LUMA_B, LUMA_G, LUMA_R, luminanceOf} from '../luma.js';
import {isClipped, isLitClose, isOnShoulder, movedFrom, noiseOf, roughOf} from '../pixel-doubt.js';
import {type PixelEllipse, radiiSquared} from '../pixel-ellipse.js';
import type {PixelLight} from '../pixel-light.js';
import {REGION, type RegionMap} from '../regions.js';
import {MAD_TO_SIGMA, medianOf, quantile} from '../robust.js';
import type {DarkShare} from '../room/dark-share.js';
import {bytes, floats, integers} from '../scratch.js';
import {lightAbout, lightAboutAt} from './light-about.js';
import {linesInLight} from './lines-in-light.js';
import {ASKED, fromWhere, shadowMovesFor} from './moved-shadow.js';
import {brightestAround, ridgeDistances, standsOut, standsOutSmoothed} from './ridge.js';
import {type Moved, mayBeUncovered, wallMovesFor} from './uncovered-wall.js';
import {mayBeThing} from './wall-things.js';
import {latticeStep, PATTERNED} from './where-to-look.js';

/** Candidates for the trail. */
export type Candidates = {
  /** Which pixels are candidates, in their order. */
  pixels: Int32Array;
  /** 0: no; 1: its own light is above the trail's least; 2: and it stands out beyond doubt. */
  mask: Uint8Array;
  /** Luminance beyond what plates and new room light explain; 0 on the wall where the whole pixel is darker than a trail. */
  own: Float32Array;
  /** By how many σ of what is usual a candidate stands out. */
  sure: Float32Array;
  /**
   * 1 where a candidate may be the head's own outline, which moved, or what the sitter holds: as bright a place is expected
   * close by; a pool of light that the head moved through; or something pale in new light.
   */
  outline: Uint8Array;
  /** Where a candidate on the wall may be what lay in a shadow that moved: from which directions, as bits. */
  outOfShadow: Int32Array;
  /** 1 where a candidate may be wall that the sitter hid on the plates and no longer does. */
  uncovered: Uint8Array;
  /** 1 where a candidate lies on a line that stands out from the pattern which new light shows; null where none is shown. */
  lines: Uint8Array | null;
  /** What the brightest of the head shows by the plates and new room light, linear; 0 where that isn't known. */
  headLight: number;
  /** New room light on each candidate, luminance. */
  newLight: Float32Array;
};

/** What a misplaced head may do: the part of the plates' change around a pixel. */
const PLACE_PART = 0.35;
/** What a light's fitted power leaves open, as a part of its light. */
const POWER_PART = 0.025;
const LEAST_DOUBT = 0.0025;
const NEW_LIGHT_DOUBT = 0.2;
/** By how many σ of what is usual around it a pixel must stand out to begin a trail, and to go on with one. */
const BEGIN = 6;
const GO_ON = 2.5;
/** On the wall: the part of the flashes' spill, and of new room light, that a trail must exceed. */
const SPILL_PART = 0.25;
const NEW_LIGHT_PART = 0.4;
/** And the part of new light that its brightest pattern, averaged by the plates' smoothing, may reflect beyond the rest. */
const PATTERN_PART = 2.4;
const MOST_PATTERN = 6;
/** And for every time that a place is paler than the wall: it may also face where that light comes from, and lie nearer. */
const PALE_PART = 3;
/** On a line that stands out from the wall's pattern, what is paler by less than this part is the pattern. */
const LINE_PALER = 0.3;
/** How many times as much new light as is told about the sitter there may be, where so much is typical of what is seen. */
const MOST_TYPICAL = 3;
/** On the wall: σ, as parts of the flashes' spill and of new room light. */
const SPILL_DOUBT = 0.08;
const WALL_LIGHT_DOUBT = 0.12;
/** What is left of noise by a mean over 3 × 3 pixels: JPEG makes neighbours alike. */
const NOISE_LEFT = 0.5;
/**
 * Light of which the plates show this part close by may be no line's: where wall is expected, what moved there with the head;
 * on the head, a pool that stayed where it was while the head moved by so many pixels.
 */
const MOVED_PART = 0.7;
const LEAST_MOVED = 3;
/** A line's part of its light by which it stands above both its sides. */
const RIDGE_PART = 0.35;
/** What is brighter than this, linear, and so many times as bright as all else that is told there, may be a band. */
export const BAND_LIGHT = 0.18;
const BAND_TIMES = 6;
/**
 * How a light falls changes slowly over a head that moves through it, by less than so many stops: what is brighter by less
 * must stand above sides that are no further off than this part of the frame's longer edge.
 */
const BROAD_GAIN = 1.25;
const NARROW = 0.02;
/** Light, linear, that is added on both sides before the rest is held against what was expected. */
const GAIN_FLOOR = 0.01;
/** What adds fewer stops than this to what is nearly white by itself may be no line. */
const SHOULDER_GAIN = 0.75;
/** The body doesn't stand in the light as the head does. */
const BODY_PART = 0.06;
/** How far the body moves against the head, as parts of the frame's longer edge; it begins so far down, in half heights. */
const BODY_MOVES = [0.003, 0.006, 0.01];
const CHIN = 0.8;
/**
 * How far the head's own outline, and the inner edge of a rim light on it, may lie off, likewise; and between which parts of
 * the face ellipse's radii they are.
 */
const OUTLINE_MOVES = [0.002, 0.004];
const OUTLINE = [0.6, 1.2] as const;
/**
 * What the plates say of the wall and what stands before it: how much the wall reflects where it does most, where narrow
 * things are on it, and how many times as much as the wall each pixel reflects.
 */
export type WallPattern = {brightest: number; things: Float32Array; darkShare: DarkShare};

const luminance = (values: Float32Array, i: number): number => luminanceOf(values, 3 * i);

/** How far a channel's rest may lie off without a trail, as one σ if all is usual. */
const doubtOf = (light: PixelLight, i: number, channel: number, isBody: boolean): number => {
  const expected = light.expected[3 * i + channel]!;
  const share = expected / Math.max(1e-4, luminance(light.expected, i));
  return (
    LEAST_DOUBT +
    NOISE_LEFT * noiseOf(light.doubts, i, channel) +
    (isBody ? BODY_PART : POWER_PART) * expected +
    PLACE_PART * roughOf(light.doubts, i) * Math.min(3, share) +
    NEW_LIGHT_DOUBT * light.newLight[i]!
  );
};

/**
 * What the usual is at least, and at most: where a trail lies on more than half of a region, what is typical of it is the
 * trail.
 */
const LEAST_USUAL = 0.25;
const MOST_USUAL = 4;

/** How far the rest usually lies off about the sitter, in units of its doubt: by region, then channel. */
type Usual = number[][];

const usualRest = (light: PixelLight, order: Int32Array, regions: RegionMap, width: number): Usual => {
  const sizes = [0, 1, 2, 3].map(() => [[], [], []] as number[][]);
  const height = regions.length / width;
  const step = latticeStep(width, height);
  for (let i = 0; i < light.at.length; i++) {
    const at = light.at[i]!;
    const region = regions[at]!;
    if (region === REGION.wall) continue;
    const x = at % width;
    // The middle of each square's 3 × 3 pixels.
    if (x % step !== 1 || ((at - x) / width) % step !== 1) continue;
    for (let c = 0; c < 3; c++) {
      const off = restAround(light, order, width, height, at, c) / doubtOf(light, i, c, region === REGION.body);
      sizes[region]![c]!.push(Math.abs(off));
    }
  }
  return sizes.map(channels =>
    channels.map(values =>
      values.length > 20 ? Math.min(MOST_USUAL, Math.max(LEAST_USUAL, MAD_TO_SIGMA * medianOf(values))) : 1,
    ),
  );
};

/** Where each pixel of the frame stands among those that were looked at, from 1 on; 0 for the others. */
const orderOf = ({at}: PixelLight, size: number): Int32Array => {
  const order = integers(size);
  for (let i = 0; i < at.length; i++) order[at[i]!] = i + 1;
  return order;
};

/** The mean of a channel's rest over 3 × 3 pixels, edges repeated; what isn't known counts as 0. */
const restAround = (
  {rest}: PixelLight,
  order: Int32Array,
  width: number,
  height: number,
  at: number,
  channel: number,
): number => {
  const x = at % width;
  const y = (at - x) / width;
  let sum = 0;
  for (let row = -1; row <= 1; row++) {
    const start = Math.max(0, Math.min(height - 1, y + row)) * width;
    for (let column = -1; column <= 1; column++) {
      const i = order[start + Math.max(0, Math.min(width - 1, x + column))]! - 1;
      if (i >= 0) sum += rest[3 * i + channel]!;
    }
  }
  return sum / 9;
};

/**
 * Picks the pixels whose own light may be a trail's: light enough, more than misfit and noise usually leave, and higher
 * than both sides of it.
 * @param light of the pixels to explain
 * @param trailLight what a trail pixel's own light exceeds, linear
 * @param wall how much more than its surroundings the wall reflects where it does most, and the things on it
 * @param face where the head stands in this frame
 * @param moved how far the head moved against the plates, in pixels
 */
export const trailCandidates = (
  light: PixelLight,
  trailLight: number,
  wall: WallPattern,
  regions: RegionMap,
  face: PixelEllipse,
  moved: Moved,
  width: number,
): Candidates => {
  const size = regions.length;
  const height = size / width;
  const count = light.at.length;
  const {newLight} = light;
  const order = orderOf(light, size);
  const own = floats(size);
  const expected = floats(size);
  for (let i = 0; i < count; i++) {
    own[light.at[i]!] = luminance(light.rest, i);
    expected[light.at[i]!] = luminance(light.expected, i);
  }
  const rest = meanOfFew(own, light.at, width, height);
  const usual = usualRest(light, order, regions, width);
  const gains = floats(size);
  for (let i = 0; i < count; i++) {
    const at = light.at[i]!;
    if (regions[at] !== REGION.wall) gains[at] = gainOf(rest[at]!, expected[at]! + newLight[i]!);
  }
  // Where the plates lie in the dark they don't show the wall's pattern: it may be as strong as anywhere.
  const pattern = Math.min(MOST_PATTERN, PATTERN_PART * (wall.brightest - 1));
  const newLightPart = Math.max(NEW_LIGHT_PART, pattern);
  const about = lightAbout(rest, light.at, regions, width, latticeStep(width, height));
  const distances = ridgeDistances(width, height);
  const bandDistances = ridgeDistances(width, height, true);
  const narrow = distances.filter(distance => distance <= NARROW * Math.max(width, height));
  const chin = face.cy + CHIN * face.ry;
  const outlineMoves = OUTLINE_MOVES.map(part => part * Math.max(width, height));
  const shadowMoves = shadowMovesFor(Math.hypot(moved.dx, moved.dy), width, height);
  const wallMoves = wallMovesFor(moved, width, height);
  const bodyMoves = BODY_MOVES.map(part => part * Math.max(width, height));
  const isMoved = Math.hypot(moved.dx, moved.dy) >= LEAST_MOVED;
  const lines = linesInLight(
    {rest, at: light.at, newLight},
    regions,
    width,
    trailLight,
    PATTERNED,
    latticeStep(width, height),
  );
  const mask = bytes(size);
  const sure = floats(size);
  const lit = floats(size);
  const outline = bytes(size);
  const outOfShadow = integers(size);
  const uncovered = bytes(size);
  const pixels = integers(count);
  let found = 0;
  for (let i = 0; i < count; i++) {
    const at = light.at[i]!;
    if (own[at]! <= trailLight) continue;
    const region = regions[at]!;
    const above = rest[at]!;
    const isWall = region === REGION.wall;
    const spill = isWall ? expected[at]! : 0;
    const x = at % width;
    const y = (at - x) / width;
    const told = newLight[i]!;
    const typical = Math.min(MOST_TYPICAL * told, told + lightAboutAt(about, x, y));
    const isLine = lines !== null && lines[at] === 1;
    if (!isLine && (region !== REGION.head || light.isWall[i] === 1 || isOutside(face, x, y))) {
      if (own[at]! <= SPILL_PART * spill + newLightPart * typical) continue;
    }
    // Where the wall may be seen, its pattern must not be what is bright, whatever else would explain the pixel.
    if (
      !isLine &&
      told > PATTERNED &&
      light.wallRest[i]! <= SPILL_PART * light.wallExpected[i]! + newLightPart * typical
    )
      continue;
    const asWall =
      isWall || region === REGION.near
        ? above / (LEAST_DOUBT + NOISE_LEFT * noiseIn(light, i) + SPILL_DOUBT * spill + WALL_LIGHT_DOUBT * newLight[i]!)
        : 0;
    let most = asWall;
    if (!isWall) {
      most = 0;
      for (let c = 0; c < 3; c++) {
        const off =
          restAround(light, order, width, height, at, c) /
          doubtOf(light, i, c, region === REGION.body) /
          usual[region]![c]!;
        if (off > most) most = off;
      }
      if (region === REGION.near) most = Math.min(most, asWall);
    }
    if (most <= GO_ON) continue;
    if (mayBeThing(wall.things, at, own[at]!, told)) continue;
    const isBand = above > BAND_LIGHT && above > BAND_TIMES * (expected[at]! + told);
    const sides = isBand ? bandDistances : distances;
    if (!isLine && !standsOut(rest, width, height, at, sides, RIDGE_PART * above)) continue;
    // Light that fell otherwise than on the plates follows the pattern of what it fell on; a line does not.
    if (!isWall) {
      const gain = gains[at]!;
      if (!standsOut(gains, width, height, at, sides, RIDGE_PART * gain, regions)) continue;
      if (gain < BROAD_GAIN && !standsOutSmoothed(gains, regions, width, height, at, narrow, RIDGE_PART)) continue;
    }
    if (!isWall && isClipped(light.doubts, i)) continue;
    const mayBeBody = region === REGION.body || (region === REGION.near && y > chin);
    if (mayBeBody && brightestAround(expected, width, height, at, bodyMoves) >= expected[at]! + above) continue;
    if (!isWall && isAboutOutline(face, at % width, Math.floor(at / width))) {
      const brightest = brightestAround(expected, width, height, at, outlineMoves);
      outline[at] = brightest >= expected[at]! + above ? 1 : 0;
    }
    const mayHaveMoved = isWall || (region === REGION.head && isMoved && gains[at]! >= BROAD_GAIN);
    if (mayHaveMoved && isLitClose(light.doubts, i, isWall, expected[at]! + MOVED_PART * above)) outline[at] = 1;
    if (!isWall && gains[at]! < SHOULDER_GAIN && isOnShoulder(light.doubts, i)) outline[at] = 1;
    // What is paler than the wall shows more of new light, by as many times as it does of the room's own.
    const isWallLine = isLine && isWall;
    const share = isWallLine ? wall.darkShare.broad : wall.darkShare.fine;
    const paler = Math.max(share[at]!, share[movedFrom(light.doubts, i)]!) - 1;
    const part = isWallLine ? NEW_LIGHT_PART : newLightPart;
    if (paler > (isWallLine ? LINE_PALER : 0) && own[at]! <= (part + PALE_PART * paler) * told) outline[at] = 1;
    mask[at] = most > BEGIN ? 2 : 1;
    sure[at] = most;
    lit[at] = newLight[i]!;
    if (isWall && found % ASKED === 0) outOfShadow[at] = fromWhere(light, order, width, height, i, shadowMoves);
    if (!isWall && mayBeUncovered(light, order, regions, face, moved, wallMoves, width, i)) uncovered[at] = 1;
    pixels[found++] = at;
  }
  return {
    pixels: pixels.subarray(0, found),
    mask,
    own,
    sure,
    outline,
    outOfShadow,
    uncovered,
    lines,
    headLight: brightestOfHead(light, expected, regions),
    newLight: lit,
  };
};

/** The part of the head that may be brighter than its brightest: a glint. */
const GLINTS = 0.01;

const brightestOfHead = ({at, newLight}: PixelLight, expected: Float32Array, regions: RegionMap): number => {
  const seen: number[] = [];
  for (let i = 0; i < at.length; i += 5) {
    if (regions[at[i]!] === REGION.head) seen.push(expected[at[i]!]! + newLight[i]!);
  }
  return seen.length === 0 ? 0 : quantile(seen, 1 - GLINTS);
};

const isOutside = (face: PixelEllipse, x: number, y: number): boolean => radiiSquared(face, x, y) > 1;

const isAboutOutline = (face: PixelEllipse, x: number, y: number): boolean => {
  const radii = radiiSquared(face, x, y);
  return radii >= OUTLINE[0] ** 2 && radii <= OUTLINE[1] ** 2;
};

const noiseIn = ({doubts}: PixelLight, i: number): number =>
  LUMA_R * noiseOf(doubts, i, 0) + LUMA_G * noiseOf(doubts, i, 1) + LUMA_B * noiseOf(doubts, i, 2);

/** By how many stops the light exceeds what was expected. */
const gainOf = (rest: number, expected: number): number => Math.log2(Math.max(0.1, 1 + rest / (expected + GAIN_FLOOR)));
