// Matrices row by row in one array each, dense and banded, and sums of what is kept as logarithms.

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

export function dot(one, other) {
  let sum = 0;
  for (let at = 0; at < one.length; at += 1) sum += one[at] * other[at];
  return sum;
}

// Banded systems: taken apart once and solved for one right-hand side after the other.

/** Entries below and above the diagonal. */
export const BANDS = 3;
// Interchanged rows reach farther to the right.
const WIDTH = 3 * BANDS + 1;

/** An empty banded matrix of `size` rows; entry (row, column) stands at `place`. */
export function banded(size) {
  return { size, values: new Float64Array(size * WIDTH) };
}

export function place(row, column) {
  return row * WIDTH + column - row + BANDS;
}

/** Take a matrix apart, in place, with the larger of the rows first. */
export function factored(matrix) {
  const { size, values } = matrix;
  const pivots = new Uint32Array(size);
  const factors = new Float64Array(size * BANDS);
  for (let at = 0; at < size; at += 1) {
    const last = Math.min(at + BANDS, size - 1);
    let pivot = at;
    for (let row = at + 1; row <= last; row += 1) {
      if (Math.abs(values[place(row, at)]) > Math.abs(values[place(pivot, at)])) pivot = row;
    }
    pivots[at] = pivot;
    const end = Math.min(at + 2 * BANDS, size - 1);
    if (pivot !== at) swapRows(values, at, pivot, end);
    for (let row = at + 1; row <= last; row += 1) {
      const factor = values[place(row, at)] / values[place(at, at)];
      factors[at * BANDS + row - at - 1] = factor;
      if (factor === 0) continue;
      for (let column = at + 1; column <= end; column += 1) {
        values[place(row, column)] -= factor * values[place(at, column)];
      }
    }
  }
  return { size, values, pivots, factors };
}

function swapRows(values, one, other, end) {
  for (let column = one; column <= end; column += 1) {
    const kept = values[place(one, column)];
    values[place(one, column)] = values[place(other, column)];
    values[place(other, column)] = kept;
  }
}

/** The solution for one right-hand side, which it replaces. */
export function solved({ size, values, pivots, factors }, side) {
  for (let at = 0; at < size; at += 1) {
    const kept = side[pivots[at]];
    side[pivots[at]] = side[at];
    side[at] = kept;
    if (kept === 0) continue;
    const last = Math.min(at + BANDS, size - 1);
    for (let row = at + 1; row <= last; row += 1) {
      side[row] -= factors[at * BANDS + row - at - 1] * kept;
    }
  }
  for (let at = size - 1; at >= 0; at -= 1) {
    let left = side[at];
    const end = Math.min(at + 2 * BANDS, size - 1);
    for (let column = at + 1; column <= end; column += 1) {
      left -= values[place(at, column)] * side[column];
    }
    side[at] = left / values[place(at, at)];
  }
  return side;
}
