/** What is counted on the screens, with its number, and a stretch of a row. */

import { t, tn } from "./language";

/** Return a number of trees: 1 tree, 64,212 trees. */
export function trees(n: number): string {
  return tn("{n} tree", "{n} trees", n);
}

/** Return a number of rows. */
export function rows(n: number): string {
  return tn("{n} row", "{n} rows", n);
}

/** Return a number of blocks. */
export function blocks(n: number): string {
  return tn("{n} block", "{n} blocks", n);
}

/** Return a number of people. */
export function people(n: number): string {
  return tn("{n} person", "{n} people", n);
}

/** Return a number of minutes. */
export function minutes(n: number): string {
  return tn("{n} minute", "{n} minutes", n);
}

/** Return a stretch of a row. Numbers along a row are positions; trees are what stands on them. */
export function stretch(first: number, last: number): string {
  return first === last ? t("position {n}", { n: first }) : t("positions {first} to {last}", { first, last });
}
