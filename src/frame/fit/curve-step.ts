import {CURVE_TERMS} from '../curve/basis.js';
import type {CurveBelief} from '../curve/belief.js';
import {curveSlope, lightAt, type ToneTable} from '../curve/tone-curve.js';
import {solveSymmetric} from '../linear-solve.js';
import {type FitData, type LinearFit, type SeenThrough, spreadAt, WORTH} from './light-model.js';

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
  const slopes = Array.from({length: CURVE_TERMS}, (_, term) => curveSlope(table, term));
  const {start, which, values} = data.rows;
  const inUse = Uint8Array.from(fit.solution, value => (value > 0 ? 1 : 0));
  const gram = new Float64Array(size * size);
  const moment = new Float64Array(size);
  const row = new Float64Array(size);
  const there = new Int32Array(size);
  let count = 0;
  for (let i = 0; i < frame.length; i++) {
    if (data.usable[i]) count++;
    if (fit.weights[i] === 0) continue;
    const w = fit.weights[i]! / spreadAt(data, fit.spreads, i) ** 2;
    const s = seen.scale[i]!;
    let filled = 0;
    for (let k = 0; k < n; k++) {
      if (inUse[k] === 0) continue;
      row[filled] = seen.lights[k]![i]! * s;
      there[filled++] = k;
    }
    for (let at = start[i]!; at < start[i + 1]!; at++) {
      const k = n + which[at]!;
      if (inUse[k] === 0) continue;
      row[filled] = values[at]! * s;
      there[filled++] = k;
    }
    const low = Math.min(254, frame[i]! | 0);
    const rise = Math.max(1e-7, table[low + 1]! - table[low]!);
    for (let term = 0; term < CURVE_TERMS; term++) {
      const slope = slopes[term]!;
      const darkSlope = lightAt(slope, dark[i]!);
      let change = darkSlope - lightAt(slope, frame[i]!);
      for (let k = 0; k < n; k++) {
        if (fit.solution[k]! > 0) change += fit.solution[k]! * (lightAt(slope, lights[k]![i]!) - darkSlope);
      }
      // A curve that is steeper here also makes the same difference in light a smaller one in code values.
      row[filled] = change * s + (fit.residual[i]! * (slope[low + 1]! - slope[low]!)) / rise;
      there[filled++] = linear + term;
    }
    for (let a = 0; a < filled; a++) {
      const wa = w * row[a]!;
      const at = there[a]!;
      moment[at] = moment[at]! + wa * fit.residual[i]!;
      for (let b = 0; b <= a; b++) gram[at * size + there[b]!] = gram[at * size + there[b]!]! + wa * row[b]!;
    }
  }
  const worth = WORTH / Math.max(1, count);
  for (let a = 0; a < size; a++) {
    moment[a] = moment[a]! * worth;
    for (let b = 0; b <= a; b++) {
      gram[a * size + b] = gram[a * size + b]! * worth;
      gram[b * size + a] = gram[a * size + b]!;
    }
  }
  for (let a = 0; a < linear; a++) gram[a * size + a] = gram[a * size + a]! * 1.0001 + 1e-9;
  data.added.forEach(({sigma}, k) => {
    const at = n + k;
    gram[at * size + at] = gram[at * size + at]! + 1 / sigma ** 2;
    moment[at] = moment[at]! - fit.solution[at]! / sigma ** 2;
  });
  for (let term = 0; term < CURVE_TERMS; term++) {
    const at = linear + term;
    gram[at * size + at] = gram[at * size + at]! + 1 / belief.sigma ** 2;
    moment[at] = moment[at]! - (z[term]! - belief.z[term]!) / belief.sigma ** 2;
  }
  return [...solveSymmetric(gram, moment).slice(linear)].map(step => Math.max(-LONGEST, Math.min(LONGEST, step)));
};
