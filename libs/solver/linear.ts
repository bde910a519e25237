/**
 * Solve `a x = b` for a dense square matrix by Gaussian elimination with row exchange.
 *
 * Shape   `a` row by row, `size * size`; both arguments are overwritten, the solution is left in `b`.
 * Errors  returns 'singular' when a pivot vanishes against the largest entry; `b` is then meaningless.
 */
export function solveLinear(a: Float64Array, b: Float64Array, size: number): 'solved' | 'singular' {
  const smallestPivot = largestEntry(a) * PIVOT_RATIO_MIN;
  for (let column = 0; column < size; column++) {
    const pivotRow = rowOfLargest(a, column, size);
    const pivot = a[pivotRow * size + column];
    if (!(Math.abs(pivot) > smallestPivot)) return 'singular';
    if (pivotRow !== column) exchangeRows(a, b, column, pivotRow, size);
    for (let row = column + 1; row < size; row++) {
      const factor = a[row * size + column] / pivot;
      if (factor === 0) continue;
      for (let k = column + 1; k < size; k++) a[row * size + k] -= factor * a[column * size + k];
      b[row] -= factor * b[column];
    }
  }
  for (let row = size - 1; row >= 0; row--) {
    let sum = b[row];
    for (let k = row + 1; k < size; k++) sum -= a[row * size + k] * b[k];
    b[row] = sum / a[row * size + row];
  }
  return 'solved';
}

/** Two equations that say the same within rounding leave a pivot this small; a solution would be noise. */
const PIVOT_RATIO_MIN = 1e-13;

function largestEntry(a: Float64Array): number {
  let largest = 0;
  for (const entry of a) largest = Math.max(largest, Math.abs(entry));
  return largest;
}

function rowOfLargest(a: Float64Array, column: number, size: number): number {
  let best = column;
  for (let row = column + 1; row < size; row++) {
    if (Math.abs(a[row * size + column]) > Math.abs(a[best * size + column])) best = row;
  }
  return best;
}

function exchangeRows(a: Float64Array, b: Float64Array, i: number, j: number, size: number): void {
  for (let k = 0; k < size; k++) {
    const held = a[i * size + k];
    a[i * size + k] = a[j * size + k];
    a[j * size + k] = held;
  }
  const held = b[i];
  b[i] = b[j];
  b[j] = held;
}

/**
 * The lower triangular factor of a symmetric positive definite matrix, `size * size` row by row (Cholesky).
 * 'singular' when the matrix is not positive definite; `a` is left as it is.
 */
export function choleskyFactor(a: Float64Array, size: number): Float64Array | 'singular' {
  const factor = new Float64Array(size * size);
  for (let row = 0; row < size; row++) {
    for (let column = 0; column <= row; column++) {
      let sum = a[row * size + column];
      for (let k = 0; k < column; k++) sum -= factor[row * size + k] * factor[column * size + k];
      if (column < row) {
        factor[row * size + column] = sum / factor[column * size + column];
      } else {
        if (!(sum > 0)) return 'singular';
        factor[row * size + row] = Math.sqrt(sum);
      }
    }
  }
  return factor;
}

/** Solve with a factor of `choleskyFactor`: forwards, then backwards. */
export function solveFactored(factor: Float64Array, b: Float64Array, size: number): Float64Array {
  const x = Float64Array.from(b);
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
