/** Quantiles of the normal distribution and of Student's t, to 12 digits: what intervals of a mean need. */

const HALVINGS = 200;

/** Return the share of a normal distribution within `x` standard deviations of its mean, on both sides. */
export function normalWithin(x: number): number {
  // G. Marsaglia 2004, Evaluating the normal distribution, Journal of Statistical Software 11(4): a series without cancellation
  let term = x;
  let sum = x;
  for (let k = 3; term > sum * 1e-17; k += 2) {
    term *= (x * x) / k;
    sum += term;
  }
  return 2 * sum * Math.exp((-x * x) / 2) * Math.sqrt(1 / (2 * Math.PI));
}

/** Return the share of Student's t with `freedom` degrees (whole, from 1) within `t` of 0, on both sides. */
export function studentWithin(t: number, freedom: number): number {
  // Abramowitz & Stegun, Handbook of Mathematical Functions, 26.7.3 and 26.7.4: finite series for whole degrees
  const angle = Math.atan(t / Math.sqrt(freedom));
  const [sine, cosine] = [Math.sin(angle), Math.cos(angle)];
  const isOdd = freedom % 2 === 1;
  let term = isOdd ? cosine : 1;
  let sum = freedom === 1 ? 0 : term;
  for (let k = isOdd ? 3 : 2; k < freedom; k += 2) {
    term *= (cosine * cosine * (k - 1)) / k;
    sum += term;
  }
  return isOdd ? (2 / Math.PI) * (angle + sine * sum) : sine * sum;
}

/** Return how many standard deviations on both sides hold the share `confidence` (below 1) of a normal distribution. */
export function normalQuantile(confidence: number): number {
  return where(normalWithin, confidence);
}

/** Return the same of Student's t with `freedom` degrees. */
export function studentQuantile(confidence: number, freedom: number): number {
  return where((t) => studentWithin(t, freedom), confidence);
}

/** Return where a function that rises from 0 at 0 reaches `share`. */
function where(within: (x: number) => number, share: number): number {
  let high = 1;
  while (within(high) < share) high *= 2;
  let low = 0;
  for (let n = 0; n < HALVINGS && high - low > 1e-15 * high; n += 1) {
    const middle = (low + high) / 2;
    if (within(middle) < share) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}
