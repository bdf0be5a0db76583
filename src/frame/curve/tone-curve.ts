import {CURVE_KINDS, CURVE_TERMS, type CurveKind, correctionAt, decodedLevel} from './basis.js';
import {srgbToLinear} from './srgb.js';

/** Linear light at the code values 0 to 255 (and once more the last, so that interpolation may reach beyond). */
export type ToneTable = Float32Array;

const SIZE = 257;

const tabled = (light: (code: number) => number): ToneTable => {
  const table = new Float32Array(SIZE);
  for (let code = 0; code < 256; code++) table[code] = light(code);
  table[256] = table[255]!;
  return table;
};

/** Plain sRGB. */
export const plainTable: ToneTable = tabled(code => srgbToLinear(code / 255));

const levels = Array.from({length: 256}, (_, code) => decodedLevel(code));
type Stops = {mean: number[]; terms: number[][]};

/** Stops by which the scene's light differs from the decoded one at each code value, in the mean and for each component. */
const stopsOf = (kind: CurveKind): Stops => ({
  mean: levels.map(level => correctionAt(kind, -1, level)),
  terms: Array.from({length: CURVE_TERMS}, (_, term) => levels.map(level => correctionAt(kind, term, level))),
});
const stopsByKind = Object.fromEntries(CURVE_KINDS.map(kind => [kind, stopsOf(kind)])) as Record<CurveKind, Stops>;

/**
 * Scene light at every code value for a curve.
 * @param z its coordinates, one for each of CURVE_TERMS components; all 0 is the mean of the known shapes
 */
export const curveTable = (z: readonly number[], kind: CurveKind = 'contrast'): ToneTable => {
  const {mean, terms} = stopsByKind[kind];
  const table = tabled(code => {
    let stops = mean[code]!;
    for (let term = 0; term < CURVE_TERMS; term++) stops += z[term]! * terms[term]![code]!;
    return srgbToLinear(code / 255) * 2 ** stops;
  });
  // Whatever the coordinates, more code is never less light.
  for (let code = 1; code < SIZE; code++) table[code] = Math.max(table[code]!, table[code - 1]!);
  return table;
};

/** Scene light that was coded as a plain power of it. */
export const powerTable = (exponent: number): ToneTable => {
  const known = powerTables.get(exponent);
  if (known) return known;
  const table = tabled(code => (code / 255) ** exponent);
  powerTables.set(exponent, table);
  return table;
};
const powerTables = new Map<number, ToneTable>();

/** What a first look at a picture takes for its tone curve: the mean of the known ones. */
export const firstCurve: ToneTable = curveTable(Array.from({length: CURVE_TERMS}, () => 0));

/** How much scene light changes with one coordinate, at every code value, for a curve of this kind. */
export const curveSlope = (table: ToneTable, kind: CurveKind, term: number): ToneTable =>
  tabled(code => Math.LN2 * stopsByKind[kind].terms[term]![code]! * table[code]!);

/** Scene light of a code value with fractions, 0..255. */
export const lightAt = (table: ToneTable, code: number): number => {
  const low = code | 0;
  return table[low]! + (code - low) * (table[low + 1]! - table[low]!);
};

/** Steps of a code value in a fine table: finer than what eight bits round away. */
const FINE = 16;

/** Scene light at every sixteenth of a code value: for whole pictures, where interpolating would take too long. */
export type FineTable = Float32Array;

export const fineTable = (table: ToneTable): FineTable => {
  const known = fineTables.get(table);
  if (known) return known;
  const fine = new Float32Array(255 * FINE + 2);
  for (let at = 0; at < fine.length; at++) fine[at] = lightAt(table, Math.min(255, at / FINE));
  fineTables.set(table, fine);
  return fine;
};
const fineTables = new WeakMap<ToneTable, FineTable>();

/** Scene light of a code value with fractions, 0..255, to the nearest sixteenth. */
export const fineLight = (fine: FineTable, code: number): number => fine[(code * FINE + 0.5) | 0]!;
