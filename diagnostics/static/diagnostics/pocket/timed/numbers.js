// Small arithmetic that the reading of taps needs; sums of likelihoods are held as logarithms.

export function logSum(values) {
  let top = -Infinity;
  for (let index = 0; index < values.length; index += 1) top = Math.max(top, values[index]);
  if (top === -Infinity) return top;
  let sum = 0;
  for (let index = 0; index < values.length; index += 1) sum += Math.exp(values[index] - top);
  return top + Math.log(sum);
}

export function logSumOfTwo(one, other) {
  const apart = Math.abs(one - other);
  return Math.max(one, other) + (apart > 40 ? 0 : Math.log1p(Math.exp(-apart)));
}

export function sumOf(values) {
  let sum = 0;
  for (const one of values) sum += one;
  return sum;
}

export const meanOf = (values) => sumOf(values) / values.length;

// What is left of a division, never negative.
export const part = (value, whole) => ((value % whole) + whole) % whole;

export function median(values) {
  const sorted = [...values].sort((one, other) => one - other);
  const half = sorted.length >> 1;
  return sorted.length % 2 ? sorted[half] : (sorted[half - 1] + sorted[half]) / 2;
}

// A half goes to the even number, as the server rounds: one turn more or less is another answer.
export function rounded(value) {
  const low = Math.floor(value);
  if (value - low !== 0.5) return Math.round(value);
  return low % 2 === 0 ? low : low + 1;
}

// The straight line through the points: value = at + rise * step.
export function line(steps, values) {
  const [middle, level] = [meanOf(steps), meanOf(values)];
  let over = 0;
  let under = 0;
  steps.forEach((step, index) => {
    over += (step - middle) * (values[index] - level);
    under += (step - middle) ** 2;
  });
  const rise = over / under;
  return { rise, at: level - rise * middle, spread: Math.sqrt(under) };
}
