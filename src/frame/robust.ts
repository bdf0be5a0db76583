/** The value below which this part (0..1) of the values lies; sorts a copy. NaN of nothing. */
export const quantile = (values: ArrayLike<number>, part: number): number => {
  const sorted = Float64Array.from(values).sort();
  if (sorted.length === 0) return Number.NaN;
  const place = part * (sorted.length - 1);
  const low = Math.floor(place);
  const high = Math.min(sorted.length - 1, low + 1);
  return sorted[low]! + (place - low) * (sorted[high]! - sorted[low]!);
};

export const medianOf = (values: ArrayLike<number>): number => quantile(values, 0.5);

/** σ of a normal distribution from the median absolute deviation: 1.4826·MAD. */
export const MAD_TO_SIGMA = 1.4826;

/** Spread of values around their median, as σ of a normal distribution, undisturbed by outliers. */
export const madSigma = (values: ArrayLike<number>): number => {
  const middle = medianOf(values);
  return MAD_TO_SIGMA * medianOf(Float64Array.from(values, value => Math.abs(value - middle)));
};

/** Tukey's biweight: 1 for a residual of 0, 0 beyond 4.685 σ. */
export const biweight = (residual: number, sigma: number): number => {
  const u = residual / (4.685 * sigma);
  return Math.abs(u) >= 1 ? 0 : (1 - u * u) ** 2;
};
