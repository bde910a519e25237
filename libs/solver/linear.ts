/**
 * The lower triangular factor of a symmetric positive definite matrix, `size * size` row by row (Cholesky), written into
 * `factor`.
 *
 * Shape   only the lower halves of `a` and `factor` are used, and `a` is left as it is.
 * Errors  false when a pivot is not over `pivotRatioMin` times the entry it was left from: the row then says what
 *         rows before it have said already.
 */
export function choleskyFactor(
  a: Float64Array,
  size: number,
  pivotRatioMin: number,
  factor: Float64Array,
): boolean {
  for (let row = 0; row < size; row++) {
    const start = row * size;
    for (let column = 0; column < row; column++) {
      const other = column * size;
      let sum = a[start + column];
      for (let k = 0; k < column; k++) sum -= factor[start + k] * factor[other + k];
      factor[start + column] = sum / factor[other + column];
    }
    const whole = a[start + row];
    let pivot = whole;
    for (let k = 0; k < row; k++) pivot -= factor[start + k] * factor[start + k];
    if (!(pivot > pivotRatioMin * whole) || !(pivot > 0)) return false;
    factor[start + row] = Math.sqrt(pivot);
  }
  return true;
}

/**
 * Solve with a factor of `choleskyFactor`: forwards, then backwards. The right side stands in `x` from `at` on, and the
 * solution takes its place.
 */
export function solveFactored(factor: Float64Array, size: number, x: Float64Array, at: number): void {
  for (let row = 0; row < size; row++) {
    let sum = x[at + row];
    for (let k = 0; k < row; k++) sum -= factor[row * size + k] * x[at + k];
    x[at + row] = sum / factor[row * size + row];
  }
  for (let row = size - 1; row >= 0; row--) {
    let sum = x[at + row];
    for (let k = row + 1; k < size; k++) sum -= factor[k * size + row] * x[at + k];
    x[at + row] = sum / factor[row * size + row];
  }
}
