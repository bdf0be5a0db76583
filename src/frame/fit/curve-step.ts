import {CURVE_TERMS} from '../curve/basis.js';
import {type CurveBelief, times} from '../curve/belief.js';
import {curveSlope, lightAt, type ToneTable} from '../curve/tone-curve.js';
import {solveSymmetric} from '../linear-solve.js';
import {type FitData, holdOn, type LinearFit, type SeenThrough, spreadAt, WORTH} from './light-model.js';
import {addPoint, mirrored, normalEquations, sharedFor} from './normal-equations.js';

/** No step in a coordinate is longer. */
const LONGEST = 1;

/**
 * The step in the curve's coordinates that would fit best if everything were linear (Gauss-Newton).
 * @param fit powers and residuals for the curve as it is
 * @param z the curve's coordinates
 */
export const curveStep = (
  data: FitData,
  fit: LinearFit,
  seen: SeenThrough,
  table: ToneTable,
  z: readonly number[],
  belief: CurveBelief,
): number[] => {
  const {frame, dark, lights} = data.samples;
  const n = lights.length;
  const linear = n + data.added.length;
  const size = linear + CURVE_TERMS;
  const slopes = Array.from({length: CURVE_TERMS}, (_, term) => curveSlope(table, belief.kind, term));
  const {count} = data.samples;
  const isUsed = new Uint8Array(size).fill(1);
  for (let k = 0; k < linear; k++) isUsed[k] = fit.solution[k]! > 0 ? 1 : 0;
  const which = Int32Array.from([...Array(size).keys()].filter(k => isUsed[k] === 1 && (k < n || k >= linear)));
  const popped = which.length - CURVE_TERMS;
  const own = {count: which.length, which, values: new Float64Array(3 * which.length)};
  const equations = normalEquations(size);
  const {gram, moment} = equations;
  const target = new Float64Array(3);
  const worth = new Float64Array(3);
  const shared = sharedFor(data.rows, own.count);
  let usable = 0;
  for (let i = 0; i < count; i++) {
    let ofPoint = 0;
    for (let c = 0, at = i; c < 3; c++, at += count) {
      usable += data.usable[at]!;
      worth[c] = 0;
      target[c] = 0;
      const weight = fit.weights[at]!;
      const s = seen.scale[at]!;
      if (weight === 0 || s === 0) continue;
      ofPoint += weight;
      worth[c] = weight * (s / spreadAt(data, fit.spreads, at)) ** 2;
      // All in linear light: a residual is in units of its noise.
      target[c] = fit.residual[at]! / s;
      for (let k = 0; k < popped; k++) own.values[3 * k + c] = seen.lights[which[k]!]![at]!;
      const low = Math.min(254, frame[at]! | 0);
      const rise = Math.max(1e-7, table[low + 1]! - table[low]!);
      for (let term = 0; term < CURVE_TERMS; term++) {
        const slope = slopes[term]!;
        const darkSlope = lightAt(slope, dark[at]!);
        let change = darkSlope - lightAt(slope, frame[at]!);
        for (let k = 0; k < popped; k++) {
          change += fit.solution[which[k]!]! * (lightAt(slope, lights[which[k]!]![at]!) - darkSlope);
        }
        // A curve that is steeper here also makes the same difference in light a smaller one in code values.
        own.values[3 * (popped + term) + c] = change + (target[c]! * (slope[low + 1]! - slope[low]!)) / rise;
      }
    }
    if (ofPoint > 0) addPoint(equations, own, data.rows, i, n, isUsed, target, worth, shared);
  }
  const scale = WORTH / Math.max(1, usable);
  for (let at = 0; at < gram.length; at++) gram[at] = gram[at]! * scale;
  for (let at = 0; at < size; at++) moment[at] = moment[at]! * scale;
  mirrored(equations);
  for (let a = 0; a < linear; a++) gram[a * size + a] = gram[a * size + a]! * 1.0001 + 1e-9;
  data.added.forEach(({sigma}, k) => {
    const at = n + k;
    gram[at * size + at] = gram[at * size + at]! + 1 / sigma ** 2;
    moment[at] = moment[at]! - fit.solution[at]! / sigma ** 2;
  });
  for (let k = 0; k < n; k++) {
    const held = holdOn(data, fit.solution[k]!);
    gram[k * (size + 1)] = gram[k * (size + 1)]! + held;
    moment[k] = moment[k]! - held * (fit.solution[k]! - 1);
  }
  const apart = z.map((value, term) => value - belief.z[term]!);
  const pull = times(belief.precision, apart);
  for (let term = 0; term < CURVE_TERMS; term++) {
    const at = linear + term;
    for (let other = 0; other < CURVE_TERMS; other++) {
      const across = at * size + linear + other;
      gram[across] = gram[across]! + belief.precision[term * CURVE_TERMS + other]!;
    }
    moment[at] = moment[at]! - pull[term]!;
  }
  return [...solveSymmetric(gram, moment).slice(linear)].map(step => Math.max(-LONGEST, Math.min(LONGEST, step)));
};
