import {solveSymmetric} from '../linear-solve.js';

/**
 * Non-negative least squares on normal equations: the x ≥ 0 that minimises |A·x − b|², given AᵀA and Aᵀb.
 * The active-set method of Lawson and Hanson, Solving Least Squares Problems (1974), chapter 23.
 * @param gram AᵀA, n × n, row by row, positive semi-definite
 * @param moment Aᵀb, n values
 * @returns n values ≥ 0
 */
export const nonNegativeLeastSquares = (gram: Float64Array, moment: Float64Array): Float64Array => {
  const n = moment.length;
  const x = new Float64Array(n);
  const passive = new Array<boolean>(n).fill(false);
  let scale = 0;
  for (let i = 0; i < n; i++) scale = Math.max(scale, Math.abs(moment[i]!));
  const tolerance = 1e-12 * scale;
  for (let round = 0; round < 3 * n; round++) {
    let best = -1;
    let steepest = tolerance;
    for (let i = 0; i < n; i++) {
      if (passive[i] || gram[i * n + i]! <= 0) continue;
      let slope = moment[i]!;
      for (let j = 0; j < n; j++) slope -= gram[i * n + j]! * x[j]!;
      if (slope > steepest) {
        steepest = slope;
        best = i;
      }
    }
    if (best < 0) break;
    passive[best] = true;
    let trial = solvePassive(gram, moment, passive);
    while (trial.some((value, i) => passive[i] && value <= 0)) {
      let step = 1;
      let first = -1;
      for (let i = 0; i < n; i++) {
        if (!passive[i] || trial[i]! > 0) continue;
        const reach = x[i]! > 0 ? x[i]! / (x[i]! - trial[i]!) : 0;
        if (first >= 0 && reach >= step) continue;
        step = Math.min(1, reach);
        first = i;
      }
      for (let i = 0; i < n; i++) {
        if (!passive[i]) continue;
        x[i] = x[i]! + step * (trial[i]! - x[i]!);
        // The one that is reached first leaves, whatever rounding made of its 0: else this would go on for ever.
        if (i !== first && x[i]! > 1e-15) continue;
        x[i] = 0;
        passive[i] = false;
      }
      trial = solvePassive(gram, moment, passive);
    }
    x.set(trial);
  }
  return x;
};

/** Solves the normal equations for the passive variables; the others are 0. */
const solvePassive = (gram: Float64Array, moment: Float64Array, passive: readonly boolean[]): Float64Array => {
  const n = moment.length;
  const kept = [...passive.keys()].filter(i => passive[i]);
  const m = kept.length;
  const a = new Float64Array(m * m);
  for (let i = 0; i < m; i++) for (let j = 0; j < m; j++) a[i * m + j] = gram[kept[i]! * n + kept[j]!]!;
  const solved = solveSymmetric(
    a,
    Float64Array.from(kept, i => moment[i]!),
  );
  const x = new Float64Array(n);
  for (let at = 0; at < m; at++) x[kept[at]!] = solved[at]!;
  return x;
};
