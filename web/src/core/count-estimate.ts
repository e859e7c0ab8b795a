/**
 * Counts on sample trees: their mean, how far it can be trusted, and whether enough trees were counted.
 *
 * The rules of `orchardmap.pruning.counting`; both are held to `tests/vectors/counting`.
 */

import { normalQuantile, studentQuantile } from "./quantiles";

/** What holds where the service does not say how well a mean is to be known: an older one. */
const USUAL: CountAim = { half_width_share: 0.15, confidence: 0.95 };
const LEAST_TREES = 5;
/** How much trees of one row resemble each other (`orchardmap.pruning.row_likeness`). */
const ROW_CORRELATION = 0.25;

/** How well a mean is to be known: how near, as a share of itself, and how sure. A setting of the farm. */
export interface CountAim {
  half_width_share: number;
  confidence: number;
}
/** One counted tree. */
export interface CountedTree {
  row: number;
  number: number;
}
export interface CountEstimate {
  /** Counted so far. */
  trees: number;
  /** Per tree; null before the first tree. */
  mean: number | null;
  /** Interval of the mean over all trees; null while the spread between trees cannot be judged. */
  low: number | null;
  high: number | null;
  /** Spread over mean; null as for the interval, or where the mean is 0. */
  cv: number | null;
  /** Trees to count in all if further ones spread like these; null where `cv` is. */
  treesNeeded: number | null;
  isEnough: boolean;
}

/** Return the mean count of a block's trees, with its interval; `treesInBlock` is never less than the trees counted. */
export function countEstimate(counted: readonly CountedTree[], treesInBlock: number, aim = USUAL): CountEstimate {
  const n = counted.length;
  const none = { trees: n, mean: null, low: null, high: null, cv: null, treesNeeded: null, isEnough: false };
  if (n === 0) return none;
  const mean = counted.reduce((sum, { number }) => sum + number, 0) / n;
  const squares = counted.reduce((sum, { number }) => sum + (number - mean) ** 2, 0);
  if (n === treesInBlock) {
    const cv = mean === 0 ? null : Math.sqrt(squares / n) / mean;
    return { trees: n, mean, low: mean, high: mean, cv, treesNeeded: n, isEnough: true };
  }
  const effect = designEffect(counted.map(({ row }) => row));
  const least = Math.min(Math.ceil(LEAST_TREES * effect), treesInBlock);
  if (n === 1 || (squares === 0 && n < least)) return { ...none, mean };
  const spread = Math.sqrt(squares / (n - 1)) * Math.sqrt(effect);
  const half = spread * standardErrors(n, treesInBlock, aim);
  const interval = { trees: n, mean, low: Math.max(0, mean - half), high: mean + half };
  if (mean === 0) return { ...interval, cv: null, treesNeeded: null, isEnough: false };
  const cv = spread / mean;
  const treesNeeded = Math.max(neededAt(cv, treesInBlock, aim), least);
  return { ...interval, cv, treesNeeded, isEnough: n >= treesNeeded };
}

/** Return how many trees it takes to learn what one scattered tree would tell: 1 + (m - 1) x correlation (Kish 1965). */
function designEffect(rows: readonly number[]): number {
  const perRow = new Map<number, number>();
  for (const row of rows) perRow.set(row, (perRow.get(row) ?? 0) + 1);
  const squares = [...perRow.values()].reduce((sum, m) => sum + m * m, 0);
  return 1 + (squares / rows.length - 1) * ROW_CORRELATION;
}

/** Return how many trees to count where the spread is known beforehand (Cochran 1977, section 4.6). */
export function sampleSize(cv: number, treesInBlock: number, { half_width_share, confidence } = USUAL): number {
  const endless = ((normalQuantile(confidence) * cv) / half_width_share) ** 2;
  return Math.max(1, Math.ceil(endless / (1 + endless / treesInBlock)));
}

function neededAt(cv: number, treesInBlock: number, aim: CountAim): number {
  let n = Math.max(2, sampleSize(cv, treesInBlock, aim));
  while (n < treesInBlock && cv * standardErrors(n, treesInBlock, aim) > aim.half_width_share) n += 1;
  return n;
}

/** Return the half-width of an interval in standard deviations between trees. */
function standardErrors(n: number, treesInBlock: number, { confidence }: CountAim): number {
  return studentQuantile(confidence, n - 1) * Math.sqrt(1 / n - 1 / treesInBlock);
}
