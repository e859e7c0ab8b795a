/**
 * Which trees stand in for drawn ones that cannot be judged, by the rule of `orchardmap.quality.stand_ins`: the next of the same draw.
 *
 * Both are held to the cases of `tests/vectors/lots`; so the tablet knows without a connection where to go.
 */

import type { NotJudged, ShapeRow, UnjudgedLine } from "./contracts";
import type { LotPack } from "./quality-contracts";
import { treeKey, type Tree } from "./sample-trees";

/** Why a tree of a lot is not judged: an auditor's word, or that no tree of the lot stands there any more. */
export type LeftOut = NotJudged | "blank";
/** By the name of the tree. */
export type LeftOutTrees = ReadonlyMap<string, LeftOut>;
/** Such a tree is none of the lot's; any other one is, and nobody knows what it is like. */
const NO_MEMBER: ReadonlySet<LeftOut> = new Set(["gone", "not_pruned", "blank"]);

export interface AskedTrees {
  /** Those that the verdict rests on, in the order of the draw. */
  trees: Tree[];
  /** Those among them that stand in for others, or did: also where the other one was judged after all. */
  called: Tree[];
  /** Those that others stand in for, or should. */
  leftOut: (Tree & { reason: LeftOut })[];
  /** How many judged trees decide. */
  needed: number;
  /** From so many faulty trees on the lot goes back. */
  reject: number;
  /** There are fewer trees than decide. */
  isShort: boolean;
}
type Drawn = Pick<LotPack, "n" | "reject" | "lot_trees" | "trees" | "reserve">;

/** Return how many further trees are drawn; what auditors say makes a small lot smaller by no more. */
const reserveSize = (n: number): number => Math.max(3, Math.ceil(n / 10));

/** Return which trees of a lot are to be judged; one that somebody judged (by its name) is, whatever else is said of it. */
export function askedTrees({ n, reject, lot_trees, trees, reserve = [] }: Drawn, judged: ReadonlySet<string>, leftOut: LeftOutTrees): AskedTrees {
  const reasonOf = (tree: Tree): LeftOut | undefined => (judged.has(treeKey(tree)) ? undefined : leftOut.get(treeKey(tree)));
  const asTree = ([row, position]: readonly [row: number, position: number, ...rest: unknown[]]): Tree => ({ row, position });
  const further = reserve.map(asTree);
  const found: AskedTrees = { trees: [], called: [], leftOut: [], needed: 0, reject, isShort: false };
  const own = trees.filter(([, , isExtra]) => !isExtra).map(asTree);
  const ask = (tree: Tree, isCalled: boolean): void => {
    const reason = reasonOf(tree);
    if (reason !== undefined) found.leftOut.push({ ...tree, reason });
    else {
      found.trees.push(tree);
      if (isCalled) found.called.push(tree);
    }
  };
  for (const tree of own) ask(tree, false);
  const besides: Tree[] = [];
  for (const tree of further) {
    if (found.trees.length < n) ask(tree, true);
    else if (judged.has(treeKey(tree))) besides.push(tree);
  }
  found.trees.push(...besides);
  found.called.push(...besides);
  const gone = [...trees.map(asTree), ...further].map(reasonOf).filter((reason) => NO_MEMBER.has(reason ?? "other"));
  const blanks = gone.filter((reason) => reason === "blank").length;
  const left = Math.max(Math.min(n, lot_trees - blanks - Math.min(gone.length - blanks, reserveSize(n))), 1);
  found.needed = left + besides.length;
  found.reject = Math.max(Math.ceil((reject * left) / n), 1);
  found.isShort = found.trees.length < found.needed;
  return found;
}

/** Return the trees of a lot that somebody could not judge, and those that are blanks or pollinizers by now, or beyond the end of a row counted anew. */
export function leftOutOf({ id, trees, reserve = [] }: Pick<LotPack, "id" | "trees" | "reserve">, words: readonly UnjudgedLine[], rows: readonly ShapeRow[]): Map<string, LeftOut> {
  const own = words.filter(([, , , , , lot]) => lot === id);
  const found = new Map<string, LeftOut>(own.map(([, row, position, reason]) => [treeKey({ row, position }), reason]));
  const odd = new Map(rows.map(({ n, blanks = [], pollinizers = [] }) => [n, new Set([...blanks, ...pollinizers])]));
  const ends = new Map(rows.map(({ n, p }) => [n, p]));
  for (const [row, position] of [...trees, ...reserve]) {
    if (odd.get(row)?.has(position) === true || position > (ends.get(row) ?? Infinity)) found.set(treeKey({ row, position }), "blank");
  }
  return found;
}
