/** Exponents of plain power curves that are tried. */
export const POWERS = [1.8, 1.9, 2, 2.1, 2.2, 2.3, 2.4, 2.5, 2.6];

/** What is known of a tone curve beforehand. */
export type CurveBelief = {
  /** Mean and standard deviation of each of its coordinates. σ 0: it is known. */
  z: readonly number[];
  sigma: number;
  /** What speaks against a plain power of each of POWERS, as the logarithm of a likelihood; less than 0: for it. */
  againstPowers: readonly number[];
  /** From how many frames the coordinates are known. */
  frames: number;
};

/** Nothing is known but what curves usually are. */
export const anyCurve: CurveBelief = {z: [0, 0, 0], sigma: 1, againstPowers: POWERS.map(() => 0), frames: 0};
