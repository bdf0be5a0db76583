/**
 * Solves A·x = b for a symmetric positive definite A by Cholesky.
 * @param a n × n, row by row; a pivot that vanishes gets next to no freedom
 */
export const solveSymmetric = (a: Float64Array, b: Float64Array): Float64Array => {
  const n = b.length;
  const lower = new Float64Array(n * n);
  for (let i = 0; i < n; i++) {
    for (let j = 0; j <= i; j++) {
      let sum = a[i * n + j]!;
      for (let k = 0; k < j; k++) sum -= lower[i * n + k]! * lower[j * n + k]!;
      if (i === j) lower[i * n + i] = Math.sqrt(Math.max(sum, 1e-13 * Math.abs(a[i * n + i]!) + 1e-300));
      else lower[i * n + j] = sum / lower[j * n + j]!;
    }
  }
  const x = new Float64Array(n);
  for (let i = 0; i < n; i++) {
    let sum = b[i]!;
    for (let k = 0; k < i; k++) sum -= lower[i * n + k]! * x[k]!;
    x[i] = sum / lower[i * n + i]!;
  }
  for (let i = n - 1; i >= 0; i--) {
    let sum = x[i]!;
    for (let k = i + 1; k < n; k++) sum -= lower[k * n + i]! * x[k]!;
    x[i] = sum / lower[i * n + i]!;
  }
  return x;
};
