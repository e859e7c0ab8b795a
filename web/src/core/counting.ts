/** A count that is under way: which tree, how many so far, which trees come next. Plain values, so that it outlives the page. */

import type { CountedThing } from "./contracts";
import { treeKey, type Tree } from "./sample-trees";
import { COUNTED_THINGS, MOST_COUNTED } from "./tree-counts";

export interface Counting {
  seasonId: string;
  what: CountedThing;
  seed: number;
  /** The id that the record of this tree will have: one that is in the outbox already was kept before the page died. */
  id: string;
  tree: Tree | null;
  /** Whether the draw proposed the tree. */
  isDrawn: boolean;
  /** Drawn though enough trees were counted: nobody has to go on. */
  isExtra: boolean;
  number: number;
  /** Drawn trees that come after this one, in walking order. */
  ahead: Tree[];
  /** Drawn trees that could not be counted, and are not proposed again. */
  passed: Tree[];
  /** The ground that these trees stand on; null where the service told none. */
  ground: string | null;
}
/** Trees drawn at once: enough to begin with, few enough to be walked in one round. */
export const AT_ONCE = 10;

/** What the next trees are drawn from. */
export interface Draw {
  id: string;
  /** Return so many trees that are neither counted yet nor among these, in walking order. */
  trees(n: number, but: ReadonlySet<string>): Tree[];
  /** How many more trees the counts so far call for; null where that is not known. */
  missing: number | null;
}

/** Return the count at its next tree; with no tree where every one of the block is counted. */
export function nextTree(counting: Counting, draw: Draw): Counting {
  const passed = new Set(counting.passed.map(treeKey));
  const round = Math.min(AT_ONCE, Math.max(1, draw.missing ?? AT_ONCE));
  const goesOn = counting.ahead.length > 0;
  const [tree, ...ahead] = goesOn ? counting.ahead : draw.trees(round, passed);
  const isExtra = goesOn ? counting.isExtra : draw.missing !== null && draw.missing <= 0;
  return { ...counting, id: draw.id, tree: tree ?? null, isDrawn: true, isExtra, number: 0, ahead };
}

/** Return how many drawn trees of this round are not counted yet; none of a round that was drawn though it was enough. */
export function leftInRound({ tree, isDrawn, isExtra, ahead }: Counting): number {
  return isExtra ? 0 : ahead.length + (tree !== null && isDrawn ? 1 : 0);
}

/** Return the count with this tree left out, at the next one. */
export function withoutTree(counting: Counting, draw: Draw): Counting {
  const passed = counting.tree === null || !counting.isDrawn ? counting.passed : [...counting.passed, counting.tree];
  return nextTree({ ...counting, passed }, draw);
}

/**
 * Return the count at a tree that somebody chose, with what was counted so far: who finds out late at which tree she stands
 * keeps her number. The drawn one stays next in line.
 */
export function atTree(counting: Counting, tree: Tree, id: string): Counting {
  const { tree: before, isDrawn, ahead } = counting;
  const later = ahead.filter((one) => treeKey(one) !== treeKey(tree));
  const stays = before !== null && isDrawn && treeKey(before) !== treeKey(tree);
  const isProposed = later.length < ahead.length || (before !== null && isDrawn && treeKey(before) === treeKey(tree));
  return { ...counting, id, tree, isDrawn: isProposed, ahead: stays ? [before, ...later] : later };
}

/** Return the count with so many more, held within what a record can say. */
export function withMore(counting: Counting, by: number): Counting {
  return withNumber(counting, counting.number + by);
}

/** Return the count with that number. */
export function withNumber(counting: Counting, number: number): Counting {
  return { ...counting, number: Math.min(MOST_COUNTED, Math.max(0, Math.round(number))) };
}

/**
 * Return a count read from the device's memory, or null when what is kept there is none of this season. On another ground than
 * it was begun on it has no tree: its numbers may be other trees' by now.
 */
export function countingFrom(kept: unknown, seasonId: string, ground: string | null): Counting | null {
  const told = kept as Partial<Counting> | null | undefined;
  if (typeof told !== "object" || told === null || told.seasonId !== seasonId) return null;
  const { what, seed, id, tree, number, ahead, passed } = told;
  const isWhole = COUNTED_THINGS.some((one) => one === what) && Number.isSafeInteger(seed) && Number.isSafeInteger(number);
  if (!isWhole || typeof id !== "string" || tree === undefined || !Array.isArray(ahead) || !Array.isArray(passed)) return null;
  const counting = { ...(told as Counting), ground };
  const isOther = typeof told.ground === "string" && ground !== null && told.ground !== ground;
  return isOther ? { ...counting, tree: null, number: 0, ahead: [], passed: [] } : counting;
}
