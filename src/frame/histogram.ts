import {levelEv} from '../../shared/level.js';
import type {Measurement} from '../../shared/reading.js';

/** Steps of a quarter stop from 12 stops under middle grey to full scale. */
const FROM_EV = -12;
const STEP_EV = 0.25;
const BINS = 58;

/** The bin of a level; the first and last are open-ended. */
const binOf = (linear: number): number =>
  Math.max(0, Math.min(BINS - 1, Math.floor((levelEv(linear) - FROM_EV) / STEP_EV)));

/** Bins by light in steps fine enough for the darkest 8-bit code, so that no pixel needs a logarithm. */
const FINE = 32_768;
const bins = Uint8Array.from({length: FINE + 1}, (_, i) => binOf(i / FINE));

/** Counts of linear luminance (fractions of full scale) in steps of a quarter stop around middle grey. */
export const histogramOf = (luminance: Float32Array): Measurement['histogram'] => {
  const counts = new Array<number>(BINS).fill(0);
  for (let at = 0; at < luminance.length; at++) {
    const bin = bins[Math.min(FINE, (luminance[at]! * FINE + 0.5) | 0)]!;
    counts[bin] = counts[bin]! + 1;
  }
  return {fromEv: FROM_EV, stepEv: STEP_EV, counts};
};
