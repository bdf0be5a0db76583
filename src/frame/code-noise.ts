import {madSigma} from './robust.js';
import type {WorkImage} from './work-image.js';

/** Pairs of neighbours that are looked at, and how many are enough. */
const PAIRS = 8000;
const ENOUGH = 400;
/** Code values below this are so dark that a camera, or JPEG, takes the noise away. */
const DARK = 16;
/** σ of a code value by rounding alone. */
const ROUNDING = 0.3;

/**
 * σ of a code value by noise, in code values (0 to 255): from how neighbouring pixels differ, undisturbed by edges. Told
 * from what is lit, where there is enough of it.
 */
export const codeNoise = ({width, height, g}: WorkImage): number => {
  const step = Math.max(1, Math.floor((width * height) / PAIRS));
  const all = new Float64Array(Math.ceil(g.length / step));
  const lit = new Float64Array(all.length);
  let pairs = 0;
  let bright = 0;
  for (let at = 0; at + 1 < g.length; at += step) {
    if (at % width === width - 1) continue;
    const difference = g[at + 1]! - g[at]!;
    all[pairs++] = difference;
    if (g[at]! >= DARK) lit[bright++] = difference;
  }
  const ofAll = madSigma(all.subarray(0, pairs));
  const told = bright >= ENOUGH ? Math.max(madSigma(lit.subarray(0, bright)), ofAll) : ofAll;
  return Math.max(ROUNDING, told / Math.SQRT2);
};
