import {madSigma} from './robust.js';
import type {WorkImage} from './work-image.js';

/** Pairs of neighbours that are looked at, and σ of a code value by rounding alone. */
const PAIRS = 4000;
const ROUNDING = 0.3;

/**
 * σ of a code value by noise, in code values (0 to 255): from how neighbouring pixels differ, undisturbed by edges.
 */
export const codeNoise = ({width, height, g}: WorkImage): number => {
  const step = Math.max(1, Math.floor((width * height) / PAIRS));
  const differences: number[] = [];
  for (let at = 0; at + 1 < g.length; at += step) {
    if (at % width < width - 1) differences.push(g[at + 1]! - g[at]!);
  }
  return Math.max(ROUNDING, madSigma(differences) / Math.SQRT2);
};
