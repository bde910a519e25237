/**
 * The inverse of a square matrix, by Gauss-Jordan elimination with row pivoting.
 *
 * Errors  throws when the matrix is singular to 1e-12 of its largest entry; the caller's matrices never are.
 */
export function inverse(matrix: readonly Float64Array[]): Float64Array[] {
  const n = matrix.length;
  const rows = matrix.map((row, i) => {
    const wide = new Float64Array(2 * n);
    wide.set(row);
    wide[n + i] = 1;
    return wide;
  });
  const largest = Math.max(
    ...matrix.map((row) => row.reduce((most, value) => Math.max(most, Math.abs(value)), 0)),
  );
  for (let column = 0; column < n; column++) {
    let pivot = column;
    for (let r = column + 1; r < n; r++)
      if (Math.abs(rows[r][column]) > Math.abs(rows[pivot][column])) pivot = r;
    const top = rows[pivot];
    if (!(Math.abs(top[column]) > SINGULAR * largest)) throw new Error('a matrix without an inverse');
    rows[pivot] = rows[column];
    rows[column] = top;
    const scale = 1 / top[column];
    for (let k = column; k < 2 * n; k++) top[k] *= scale;
    for (let r = 0; r < n; r++) {
      const factor = rows[r][column];
      if (r === column || factor === 0) continue;
      for (let k = column; k < 2 * n; k++) rows[r][k] -= factor * top[k];
    }
  }
  return rows.map((row) => row.subarray(n));
}

const SINGULAR = 1e-12;
