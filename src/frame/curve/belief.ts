/** What is known of a tone curve beforehand: mean and standard deviation of each of its coordinates. σ 0: it is known. */
export type CurveBelief = {z: readonly number[]; sigma: number};

/** Nothing is known but what curves usually are. */
export const anyCurve: CurveBelief = {z: [0, 0, 0], sigma: 1};
