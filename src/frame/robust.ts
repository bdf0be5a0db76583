/** Moves the n-th smallest value to its place (Hoare's selection); those before it are no larger, those after no smaller. */
const select = (values: Float64Array, count: number, n: number): number => {
  let low = 0;
  let high = count - 1;
  while (low < high) {
    const pivot = values[(low + high) >> 1]!;
    let i = low;
    let j = high;
    while (i <= j) {
      while (values[i]! < pivot) i++;
      while (values[j]! > pivot) j--;
      if (i > j) break;
      const swapped = values[i]!;
      values[i++] = values[j]!;
      values[j--] = swapped;
    }
    if (n <= j) high = j;
    else if (n >= i) low = i;
    else break;
  }
  return values[n]!;
};

/** The value below which this part (0..1) of the values lies, between neighbours linearly. NaN of nothing. */
export const quantile = (values: ArrayLike<number>, part: number): number => {
  if (values.length === 0) return Number.NaN;
  const count = values.length;
  if (sorting.length < count) sorting = new Float64Array(2 * count);
  const copy = sorting;
  for (let i = 0; i < count; i++) copy[i] = values[i]!;
  const place = part * (count - 1);
  const low = Math.floor(place);
  const at = select(copy, count, low);
  if (place === low) return at;
  let next = Number.POSITIVE_INFINITY;
  for (let i = low + 1; i < count; i++) if (copy[i]! < next) next = copy[i]!;
  return at + (place - low) * (next - at);
};

/** Where values are put in order; asked for so often that it is kept. */
let sorting = new Float64Array(1024);

export const medianOf = (values: ArrayLike<number>): number => quantile(values, 0.5);

/** σ of a normal distribution from the median absolute deviation: 1.4826·MAD. */
export const MAD_TO_SIGMA = 1.4826;

/** Spread of values around their median, as σ of a normal distribution, undisturbed by outliers. */
export const madSigma = (values: ArrayLike<number>): number => {
  const apart = new Float64Array(values);
  const middle = medianOf(apart);
  for (let i = 0; i < apart.length; i++) apart[i] = Math.abs(apart[i]! - middle);
  return MAD_TO_SIGMA * medianOf(apart);
};

/** Median of the absolute values. */
export const medianSize = (values: ArrayLike<number>): number => {
  if (sizes.length < values.length) sizes = new Float64Array(2 * values.length);
  for (let i = 0; i < values.length; i++) sizes[i] = Math.abs(values[i]!);
  return medianOf(sizes.subarray(0, values.length));
};
let sizes = new Float64Array(1024);

/** Tukey's loss: 0 for no residual, 1 for an outlier. */
export const biweightLoss = (residual: number, sigma: number): number => {
  const u = residual / (4.685 * sigma);
  return Math.abs(u) >= 1 ? 1 : 1 - (1 - u * u) ** 3;
};

/** Near 0 the loss is 3·(r / 4.685 σ)²: this many times the loss is half a squared residual. */
export const HALF_SQUARES = 4.685 ** 2 / 6;

/** Tukey's biweight: 1 for a residual of 0, 0 beyond 4.685 σ. */
export const biweight = (residual: number, sigma: number): number => {
  const u = residual / (4.685 * sigma);
  return Math.abs(u) >= 1 ? 0 : (1 - u * u) ** 2;
};
