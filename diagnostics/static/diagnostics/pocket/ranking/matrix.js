// Small dense matrices, row by row in one array each, and sums of what is kept as logarithms.

/** Lower triangle L with L L' = the matrix (n by n, symmetric, positive definite). */
export function cholesky(matrix, n) {
  const lower = new Float64Array(n * n);
  for (let row = 0; row < n; row += 1) {
    for (let column = 0; column <= row; column += 1) {
      let left = matrix[row * n + column];
      for (let k = 0; k < column; k += 1) left -= lower[row * n + k] * lower[column * n + k];
      lower[row * n + column] =
        row === column ? Math.sqrt(Math.max(left, 1e-12)) : left / lower[column * n + column];
    }
  }
  return lower;
}

/** x with L x = the values, one vector. */
export function solveLower(lower, values, n) {
  const result = new Float64Array(n);
  for (let row = 0; row < n; row += 1) {
    let left = values[row];
    for (let k = 0; k < row; k += 1) left -= lower[row * n + k] * result[k];
    result[row] = left / lower[row * n + row];
  }
  return result;
}

/** x with L L' x = the values, one vector. */
export function solve(lower, values, n) {
  const result = solveLower(lower, values, n);
  for (let row = n - 1; row >= 0; row -= 1) {
    let left = result[row];
    for (let k = row + 1; k < n; k += 1) left -= lower[k * n + row] * result[k];
    result[row] = left / lower[row * n + row];
  }
  return result;
}

/** The inverse of a lower triangle. */
export function inverse(lower, n) {
  const result = new Float64Array(n * n);
  for (let column = 0; column < n; column += 1) {
    result[column * n + column] = 1 / lower[column * n + column];
    for (let row = column + 1; row < n; row += 1) {
      let left = 0;
      for (let k = column; k < row; k += 1) left -= lower[row * n + k] * result[k * n + column];
      result[row * n + column] = left / lower[row * n + row];
    }
  }
  return result;
}

/** Log density of a normal around 0 with the covariance L L'. */
export function logNormal(values, lower, n) {
  const white = solveLower(lower, values, n);
  let log = -0.5 * n * Math.log(2 * Math.PI);
  for (let row = 0; row < n; row += 1) {
    log -= 0.5 * white[row] ** 2 + Math.log(lower[row * n + row]);
  }
  return log;
}

export function logSum(logs) {
  let top = -Infinity;
  for (const log of logs) if (log > top) top = log;
  if (top === -Infinity) return top;
  let sum = 0;
  for (const log of logs) sum += Math.exp(log - top);
  return top + Math.log(sum);
}

export function logMean(logs) {
  return logSum(logs) - Math.log(logs.length);
}

export function logBoth(one, other) {
  const top = Math.max(one, other);
  return top + Math.log1p(Math.exp(Math.min(one, other) - top));
}
