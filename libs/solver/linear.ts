/**
 * The lower triangular factor of a symmetric positive definite matrix, `size * size` row by row (Cholesky).
 *
 * Shape   only the lower half of `a` is read, and `a` is left as it is.
 * Errors  'singular' when a pivot is not over `pivotRatioMin` times the entry it was left from: the row then says what
 *         rows before it have said already.
 */
export function choleskyFactor(
  a: Float64Array,
  size: number,
  pivotRatioMin: number,
): Float64Array | 'singular' {
  const factor = new Float64Array(size * size);
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
    if (!(pivot > pivotRatioMin * whole) || !(pivot > 0)) return 'singular';
    factor[start + row] = Math.sqrt(pivot);
  }
  return factor;
}

/** Solve with a factor of `choleskyFactor`: forwards, then backwards. */
export function solveFactored(factor: Float64Array, b: Float64Array, size: number): Float64Array {
  const x = b.slice();
  for (let row = 0; row < size; row++) {
    let sum = x[row];
    for (let k = 0; k < row; k++) sum -= factor[row * size + k] * x[k];
    x[row] = sum / factor[row * size + row];
  }
  for (let row = size - 1; row >= 0; row--) {
    let sum = x[row];
    for (let k = row + 1; k < size; k++) sum -= factor[k * size + row] * x[k];
    x[row] = sum / factor[row * size + row];
  }
  return x;
}
