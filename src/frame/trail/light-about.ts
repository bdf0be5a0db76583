import {REGION, type RegionMap} from '../regions.js';
import {medianOf} from '../robust.js';

/*
 * About the sitter no squares of wall show new light: it is told there by what lies around. Where it fell otherwise, a
 * pattern of the wall would seem to be lines. What is typical of a neighbourhood is no line.
 */

/** Points to either side, on the lattice, that make a neighbourhood; and how many must be known. */
const REACH = 2;
const ENOUGH = 6;

/** Light beyond what was expected that is typical about places of the frame, on a lattice. */
export type LightAbout = {step: number; columns: number; values: Float32Array};

/**
 * @param rest light beyond what was expected, luminance, averaged over 3 × 3 pixels
 * @param places pixels that are known
 * @param step the lattice's points are the pixels that leave 1 when their place is divided by it
 */
export const lightAbout = (
  rest: Float32Array,
  places: Int32Array,
  regions: RegionMap,
  width: number,
  step: number,
): LightAbout => {
  const columns = Math.ceil(width / step);
  const rows = Math.ceil(rest.length / width / step);
  const seen = new Float32Array(columns * rows).fill(Number.NaN);
  for (let i = 0; i < places.length; i++) {
    const at = places[i]!;
    if (regions[at] === REGION.head || regions[at] === REGION.body) continue;
    const x = at % width;
    const y = (at - x) / width;
    if (x % step === 1 && y % step === 1) seen[((y - 1) / step) * columns + (x - 1) / step] = rest[at]!;
  }
  const near = new Float64Array((2 * REACH + 1) ** 2);
  const values = new Float32Array(columns * rows);
  for (let row = 0, at = 0; row < rows; row++) {
    for (let column = 0; column < columns; column++, at++) {
      let count = 0;
      for (let y = Math.max(0, row - REACH); y <= Math.min(rows - 1, row + REACH); y++) {
        for (let x = Math.max(0, column - REACH); x <= Math.min(columns - 1, column + REACH); x++) {
          const value = seen[y * columns + x]!;
          if (!Number.isNaN(value)) near[count++] = value;
        }
      }
      values[at] = count < ENOUGH ? Number.NaN : Math.max(0, medianOf(near.subarray(0, count)));
    }
  }
  goneOn(values, columns, rows);
  return {step, columns, values};
};

/** At the nearest point of the lattice. */
export const lightAboutAt = ({step, columns, values}: LightAbout, x: number, y: number): number =>
  values[Math.floor(y / step) * columns + Math.floor(x / step)]!;

/** How far a neighbourhood's light is taken to go on where nothing is known, in points of the lattice. */
const FARTHEST = 6;

/** What lies beside a point: to its left, to its right, above and below, as columns and rows. */
const BESIDE = [-1, 0, 1, 0, 0, -1, 0, 1];

/** Fills points of which nothing is known from those beside them, ring by ring; 0 beyond. */
const goneOn = (values: Float32Array, columns: number, rows: number): void => {
  for (let ring = 0; ring < FARTHEST; ring++) {
    const before = values.slice();
    for (let row = 0, at = 0; row < rows; row++) {
      for (let column = 0; column < columns; column++, at++) {
        if (!Number.isNaN(before[at]!)) continue;
        let sum = 0;
        let known = 0;
        for (let n = 0; n < BESIDE.length; n += 2) {
          const x = column + BESIDE[n]!;
          const y = row + BESIDE[n + 1]!;
          if (x < 0 || y < 0 || x >= columns || y >= rows) continue;
          const value = before[y * columns + x]!;
          if (Number.isNaN(value)) continue;
          sum += value;
          known++;
        }
        if (known > 0) values[at] = sum / known;
      }
    }
  }
  for (let at = 0; at < values.length; at++) if (Number.isNaN(values[at]!)) values[at] = 0;
};
