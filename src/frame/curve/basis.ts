import {contrasts, type Rendering, wideCurves} from './families.js';
import {linearToSrgb, srgbToLinear} from './srgb.js';

/*
 * A tone curve is described by how many stops the scene's light lies above what plain sRGB decoding of the code value
 * says, as a function of that decoded level. Over the known shapes, this function varies along a few directions only:
 * its principal components. A curve is then a handful of numbers of which each is about normal with σ 1. The known shapes
 * don't differ much near black, but some cameras' and most films' curves end in a toe, which is a coordinate of its own.
 * Kinds of curves that differ too much for one such description have one each.
 */

/**
 * Kinds of curves. `contrast`: what cameras mostly do, codes near black being in proportion to light. `intoPower`: the same,
 * but codes near black are a power of light. `wide`: light many times as bright as white is kept, as film does.
 */
export const CURVE_KINDS = ['contrast', 'intoPower', 'wide'] as const;
export type CurveKind = (typeof CURVE_KINDS)[number];

/** Decoded levels, stops under full scale, at which the correction is tabled. */
const FIRST_STOP = -13;
const STEP = 0.25;
const NODES = 1 - FIRST_STOP / STEP;

/**
 * Below this decoded level (code value 19) no frame tells a curve, and the known shapes go on as their formulas happen to:
 * only this part of what they say there is believed, beside going on as plain sRGB does. A toe is told by the plates.
 */
const DARK = -7.25;
const OWN_DARK = 0.5;

/** How many principal components describe a curve; with its toe, that is how many coordinates. */
const COMPONENTS = 3;
export const CURVE_TERMS = COMPONENTS + 1;
/** Which coordinate is the toe. */
export const TOE_TERM = COMPONENTS;

/** Stops to add to the decoded level, at the nodes, for one rendering. */
const correctionOf = (rendering: Rendering): Float64Array => {
  const fine = 4000;
  const seen = new Float64Array(fine + 1);
  for (let i = 0; i <= fine; i++) seen[i] = srgbToLinear(rendering(2 ** (-18 * (1 - i / fine))));
  const correction = new Float64Array(NODES);
  let at = 0;
  for (let node = 0; node < NODES; node++) {
    const level = FIRST_STOP + node * STEP;
    const linear = 2 ** level;
    while (at < fine && seen[at]! < linear) at++;
    const low = Math.log2(Math.max(1e-12, seen[Math.max(0, at - 1)]!));
    const high = Math.log2(Math.max(1e-12, seen[at]!));
    const part = at === 0 || high <= low ? 0 : Math.min(1, Math.max(0, (level - low) / (high - low)));
    const scene = -18 * (1 - (Math.max(0, at - 1) + part) / fine);
    correction[node] = Math.max(-4, Math.min(4, scene - level));
  }
  return correction;
};

/** The same, less what the formula happens to do near black. */
const onlyPartOfDark = (correction: Float64Array): Float64Array => {
  const dark = (DARK - FIRST_STOP) / STEP;
  const atDark = correction[dark]!;
  return correction.map((own, node) => (node < dark ? atDark + OWN_DARK * (own - atDark) : own));
};

const dot = (a: Float64Array, b: Float64Array): number => a.reduce((sum, value, at) => sum + value * b[at]!, 0);

/** The mean correction and the principal components, each scaled to one standard deviation (power iteration, deflated). */
const principalComponents = (rows: readonly Float64Array[]): {mean: Float64Array; terms: Float64Array[]} => {
  const mean = new Float64Array(NODES);
  for (const row of rows) for (let node = 0; node < NODES; node++) mean[node] = mean[node]! + row[node]! / rows.length;
  const centred = rows.map(row => row.map((value, at) => value - mean[at]!));
  const terms: Float64Array[] = [];
  for (let term = 0; term < COMPONENTS; term++) {
    let direction = new Float64Array(NODES).map((_, at) => 1 + Math.cos(at * (term + 1)));
    let variance = 0;
    for (let round = 0; round < 200; round++) {
      const next = new Float64Array(NODES);
      for (const row of centred) {
        const along = dot(row, direction);
        for (let node = 0; node < NODES; node++) next[node] = next[node]! + (along * row[node]!) / rows.length;
      }
      const length = Math.sqrt(dot(next, next));
      variance = length;
      direction = next.map(value => value / length);
    }
    // `direction` has length 1 and the variance along it is the last gain of the iteration.
    terms.push(direction.map(value => value * Math.sqrt(variance)));
    for (const row of centred) {
      const along = dot(row, direction);
      for (let node = 0; node < NODES; node++) row[node] = row[node]! - along * direction[node]!;
    }
  }
  return {mean, terms};
};

/** A toe takes light x for x² / (x + this): as usual as one σ. */
const TOE_LIGHT = 0.004;

/** Stops that a toe takes away, at the nodes. */
const toeCorrection = (): Float64Array =>
  Float64Array.from({length: NODES}, (_, node) => {
    const light = 2 ** (FIRST_STOP + node * STEP);
    return Math.log2((1 + Math.sqrt(1 + (4 * TOE_LIGHT) / light)) / 2);
  });

/** The exponent by which light is coded where nothing keeps codes near black in proportion to it. */
const PLAIN_POWER = 2.2;

/**
 * Stops that are added to the correction where a curve ends in a power: at the same code near black that is many times less
 * light than where codes are in proportion to it.
 * @param level decoded, in stops under full scale
 */
const powerEnd = (level: number): number => PLAIN_POWER * Math.log2(linearToSrgb(2 ** level)) - level;

const at = (nodes: Float64Array, level: number): number => {
  const place = Math.min(NODES - 1, Math.max(0, (level - FIRST_STOP) / STEP));
  const low = Math.min(NODES - 2, Math.floor(place));
  return nodes[low]! + (place - low) * (nodes[low + 1]! - nodes[low]!);
};

/** Decoded level in stops under full scale of a code value 0..255; code 0 counts as a quarter of a step. */
export const decodedLevel = (code: number): number => Math.log2(srgbToLinear(Math.max(0.25, code) / 255));

const withToe = ({mean, terms}: {mean: Float64Array; terms: Float64Array[]}) => ({
  mean,
  terms: [...terms, toeCorrection()],
});

type Basis = ReturnType<typeof withToe>;

const ofContrasts = withToe(principalComponents(contrasts.map(own => onlyPartOfDark(correctionOf(own)))));
const intoPower: Basis = {
  ...ofContrasts,
  mean: ofContrasts.mean.map((stops, n) => stops + powerEnd(FIRST_STOP + n * STEP)),
};

/** What cameras code middle grey as. */
export const MIDDLE_GREY = 117;

/** How much light a code value is has no meaning by itself: a curve's middle grey shall be as bright as contrasts make it. */
const asBright = (correction: Float64Array): Float64Array => {
  const middle = decodedLevel(MIDDLE_GREY);
  const apart = at(ofContrasts.mean, middle) - at(correction, middle);
  return correction.map(stops => stops + apart);
};

const bases: Record<CurveKind, Basis> = {
  contrast: ofContrasts,
  intoPower,
  wide: withToe(principalComponents(wideCurves.map(own => asBright(correctionOf(own))))),
};

/** The mean correction of a kind of curve (term −1), a principal component or the toe at one decoded level, in stops. */
export const correctionAt = (kind: CurveKind, term: number, level: number): number => {
  const {mean, terms} = bases[kind];
  return at(term < 0 ? mean : terms[term]!, level);
};
