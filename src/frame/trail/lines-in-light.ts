import {REGION, type RegionMap} from '../regions.js';
import {quantile} from '../robust.js';
import {bytes} from '../scratch.js';

/*
 * New room light shows the wall's own pattern, and single pixels of it may be as bright as a trail. A trail runs on: its
 * light, averaged for some way along it, stands above both sides by more than the pattern does anywhere, averaged likewise.
 * How much that is, the frame itself tells, since the light that shows the pattern shows it all over.
 */

/** How far to either way along a line light is averaged, and how far off its sides lie: parts of the frame's longer edge. */
const REACH = 0.012;
const SIDES = [0.006, 0.012, 0.02];
/** Pixels from one sample to the next. */
const STEP = 3;
const DIRECTIONS = Array.from({length: 8}, (_, n) => ({
  x: Math.cos((n * Math.PI) / 8),
  y: Math.sin((n * Math.PI) / 8),
}));
/** A line is nowhere darker than this part of itself, but for so few of its samples. */
const DARKEST = 0.5;
const DARK_PART = 0.15;
/** By how many times what the brightest of the wall's pattern does a line must stand out; and by how much at least. */
const PATTERN_TIMES = 2.5;
const BRIGHTER = 0.95;
const LEAST = 0.5;
/** Places that are enough to tell the pattern. */
const ENOUGH = 100;

/** Light beyond what is expected, averaged over few pixels; and new room light, at the places that are asked for. */
export type RestLight = {
  rest: Float32Array;
  /** Pixels that are looked at, and new light on each. */
  at: Int32Array;
  newLight: Float32Array;
};

/** Where samples lie off a pixel: along a line, and from its middle to that of each of its sides, two for each distance. */
type Way = {along: Float32Array; aside: Float32Array};

const waysOf = (edge: number): Way[] => {
  const steps = Math.max(2, Math.round((REACH * edge) / STEP));
  return DIRECTIONS.map(({x, y}) => ({
    along: Float32Array.from({length: 2 * (2 * steps + 1)}, (_, n) => {
      const off = STEP * ((n >> 1) - steps);
      return Math.round(off * (n % 2 === 0 ? x : y));
    }),
    aside: Float32Array.from(
      SIDES.flatMap(part => [-1, 1].flatMap(sign => [-sign * part * edge * y, sign * part * edge * x])).map(Math.round),
    ),
  }));
};

type Plane = {values: Float32Array; width: number; height: number};

/** A plane's value, edges repeated. */
const valueAt = ({values, width, height}: Plane, x: number, y: number): number =>
  values[Math.max(0, Math.min(height - 1, y)) * width + Math.max(0, Math.min(width - 1, x))]!;

const meanAlong = (plane: Plane, x: number, y: number, along: Float32Array): number => {
  let sum = 0;
  for (let n = 0; n < along.length; n += 2) sum += valueAt(plane, x + along[n]!, y + along[n + 1]!);
  return (2 * sum) / along.length;
};

const isUnbroken = (plane: Plane, x: number, y: number, along: Float32Array, least: number): boolean => {
  let dark = 0;
  for (let n = 0; n < along.length; n += 2) if (valueAt(plane, x + along[n]!, y + along[n + 1]!) < least) dark += 2;
  return dark <= DARK_PART * along.length;
};

/** By how much a line through a pixel stands above both its sides at the most, linear; 0 if it doesn't by the least. */
const standsBy = (plane: Plane, at: number, ways: readonly Way[], least: number): number => {
  const x = at % plane.width;
  const y = (at - x) / plane.width;
  let most = least;
  for (const {along, aside} of ways) {
    const core = meanAlong(plane, x, y, along);
    if (core <= most || !isUnbroken(plane, x, y, along, DARKEST * core)) continue;
    for (let n = 0; n < aside.length; n += 4) {
      const one = core - meanAlong(plane, x + aside[n]!, y + aside[n + 1]!, along);
      if (one <= most) continue;
      const other = core - meanAlong(plane, x + aside[n + 2]!, y + aside[n + 3]!, along);
      if (other > most) most = Math.min(one, other);
    }
  }
  return most > least ? most : 0;
};

/**
 * Which pixels lie on such a line.
 * @param least of own light that is a trail's, linear
 * @param patterned new light from which on the wall's pattern may show, linear
 * @returns null where too little of the wall shows its pattern to tell
 */
export const linesInLight = (
  {rest, at, newLight}: RestLight,
  regions: RegionMap,
  width: number,
  least: number,
  patterned: number,
  step: number,
): Uint8Array | null => {
  const height = regions.length / width;
  const plane = {values: rest, width, height};
  const ways = waysOf(Math.max(width, height));
  const pattern: number[] = [];
  for (let i = 0; i < at.length; i++) {
    const pixel = at[i]!;
    if (regions[pixel] !== REGION.wall || newLight[i]! <= patterned) continue;
    const x = pixel % width;
    if (x % step !== 1 || ((pixel - x) / width) % step !== 1) continue;
    pattern.push(standsBy(plane, pixel, ways, 0) / newLight[i]!);
  }
  if (pattern.length < ENOUGH) return null;
  const part = Math.max(LEAST, PATTERN_TIMES * quantile(pattern, BRIGHTER));
  const lines = bytes(regions.length);
  for (let i = 0; i < at.length; i++) {
    const pixel = at[i]!;
    if (newLight[i]! <= patterned || rest[pixel]! <= Math.max(least, part * newLight[i]!)) continue;
    if (regions[pixel] === REGION.head) continue;
    if (standsBy(plane, pixel, ways, Math.max(least, part * newLight[i]!)) > 0) lines[pixel] = 1;
  }
  return lines;
};
