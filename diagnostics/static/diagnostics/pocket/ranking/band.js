// A banded system of equations, taken apart once and solved for one right-hand side after the other.

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
