/**
 * Which trees to count: spread over rows and along rows, drawn by a seed, each tree as likely as any other.
 *
 * Trees are numbered in the order in which the block is walked. The k-th draw lies at the share (start + k x golden
 * section) mod 1 of that order: for every start alike the draws so far lie as evenly as such a sequence can, however
 * many it comes to in the end, which nobody knows before the first trees are counted.
 */

import type { ShapeRow } from "./contracts";
import { walkedRows, type Walk } from "./walking";

export interface Tree {
  row: number;
  position: number;
}

const GOLDEN = (Math.sqrt(5) - 1) / 2;
/** Seeds are whole numbers below this. */
export const SEEDS = 2 ** 31;

/** Return a name for a tree, for sets of them. */
export function treeKey({ row, position }: Tree): string {
  return `${row}:${position}`;
}

/** Return the trees of a block in walking order; blanks and pollinizers are none. */
export function treesWalked(rows: readonly ShapeRow[], walk: Walk): Tree[] {
  return walkedRows(rows, walk).flatMap(({ row, from }) => {
    const odd = new Set([...(row.blanks ?? []), ...(row.pollinizers ?? [])]);
    const along = Array.from({ length: row.p }, (_, at) => at + 1).filter((position) => !odd.has(position));
    return (from === "first" ? along : along.reverse()).map((position) => ({ row: row.n, position }));
  });
}

/** Return the first `n` trees that the seed draws and `isTaken` does not know, in walking order; fewer where there are no more. */
export function drawnTrees(trees: readonly Tree[], seed: number, n: number, isTaken: (tree: Tree) => boolean): Tree[] {
  const start = (seed + 0.5) / SEEDS;
  const drawn = new Set<number>();
  // by then every gap of the sequence is narrower than a tree (three-distance theorem), so that none is left out
  const last = 4 * trees.length + 8;
  for (let k = 0; k < last && drawn.size < n; k += 1) {
    const at = Math.floor(((start + k * GOLDEN) % 1) * trees.length);
    const tree = trees[at];
    if (tree !== undefined && !isTaken(tree)) drawn.add(at);
  }
  return [...drawn].sort((a, b) => a - b).flatMap((at) => trees[at] ?? []);
}
