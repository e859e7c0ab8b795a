/** Trees of a walk that were begun and left for another one: what is answered waits for whoever comes back. */

import { treeKey, type Tree } from "./sample-trees";
import type { TreeDraft, WalkDraft } from "./walk-draft";

/** Tell whether anything was said of a tree. */
export function isBegun({ findings, untold, note, photos, isAsSaid }: TreeDraft): boolean {
  if (isAsSaid === true) return false;
  return findings.length > 0 || untold.length > 0 || note !== "" || photos.length > 0;
}

/** Return the walk at another tree, with what was said of it before, else `fresh`. The tree that is left keeps what was said of it. */
export function walkTo(walk: WalkDraft, to: Tree, fresh: TreeDraft): WalkDraft {
  const { tree: left } = walk;
  if (left !== null && treeKey(left) === treeKey(to)) return walk;
  const before = walk.begun.find((one) => treeKey(one) === treeKey(to));
  const others = walk.begun.filter((one) => one !== before);
  const begun = left !== null && isBegun(left) ? [...others, left] : others;
  return { ...walk, tree: before ?? fresh, begun };
}

/**
 * Return the walk on a ground, with the trees that were half answered on another one and are left: their numbers may be other
 * trees' by now, and nothing half answered goes to a tree that nobody looked at.
 */
export function walkOnGround(walk: WalkDraft, ground: string | null): { walk: WalkDraft; left: readonly TreeDraft[] } {
  if (walk.ground === null || ground === null || walk.ground === ground) return { walk: { ...walk, ground }, left: [] };
  const left = [...(walk.tree === null ? [] : [walk.tree]), ...walk.begun];
  return { walk: { ...walk, ground, tree: null, last: null, skipped: [], begun: [] }, left };
}

/** Return the ids that checks of this walk will have: photos that were taken for them are wanted yet. */
export function checksToCome({ tree, begun }: WalkDraft): string[] {
  return [...(tree === null ? [] : [tree]), ...begun].map(({ checkId }) => checkId);
}

/** Return the walk with a photo of the tree whose check has this id: its camera may be slower than whoever goes on. */
export function withPhoto(walk: WalkDraft, checkId: string, photo: string): WalkDraft {
  const taken = (tree: TreeDraft): TreeDraft => (tree.checkId === checkId ? { ...tree, photos: [...tree.photos, photo] } : tree);
  return { ...walk, tree: walk.tree === null ? null : taken(walk.tree), begun: walk.begun.map(taken) };
}
