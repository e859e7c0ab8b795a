/** One tree while it is judged, and what was left out on the way: plain values, so that they outlive the page. */

import type { Point } from "./brief-contracts";
import { failedPoints, treeVerdict } from "./check-scoring";
import type { Check, CheckLine, Finding, NotJudged, TreeVerdict } from "./contracts";
import { treeKey, type Tree } from "./sample-trees";
import type { Skipped } from "./walk-standing";

export interface TreeDraft extends Tree {
  /** The id that its check will have: one that is in the outbox already was kept before the page died. */
  checkId: string;
  findings: Finding[];
  /** Keys of points that cannot be told on this tree. */
  untold: string[];
  note: string;
  /** Ids of photos that are on this device. */
  photos: string[];
  /** Nothing was changed of what an earlier check of the tree said. */
  isAsSaid?: boolean;
}
export interface WalkDraft {
  tree: TreeDraft | null;
  /** The tree that was left last: from there the way is told. */
  last: Tree | null;
  skipped: Skipped[];
  /** Trees that were begun and left for another one. */
  begun: TreeDraft[];
  /** Whether it goes from the far end of the lot's walk; null while that is not settled. */
  isFar: boolean | null;
  /** Where it belongs, for a device that finds it when its lot is gone. */
  of: { block: string; number: number } | null;
  /** The ground that its trees stand on; null where the service told none. */
  ground: string | null;
}

export const NO_WALK: WalkDraft = { tree: null, last: null, skipped: [], begun: [], isFar: null, of: null, ground: null };

/** Return a tree with nothing answered. */
export function freshTree({ row, position }: Tree, checkId: string, findings: readonly Finding[] = []): TreeDraft {
  return { row, position, checkId, findings: [...findings], untold: [], note: "", photos: [] };
}

/** Return a tree as its check found it, to be judged anew: of one that came from elsewhere only what was not met is known, and the note. */
export function treeAgain(tree: Tree, checkId: string, [id, , , , , , note, , , failed = []]: CheckLine, own: Iterable<{ record: object }>, points: readonly Point[]): TreeDraft {
  const said = [...own].map(({ record }) => record as Partial<Check>).find((record) => record.id === id);
  const notMet = points.filter(({ key, kind }) => kind === "yes_no" && failed.includes(key)).map(({ key }): Finding => [key, false]);
  return { ...freshTree(tree, checkId, said?.findings ?? notMet), note, isAsSaid: true };
}

/** Return the tree with one point answered; null takes the answer back, "untold" says that it cannot be told. */
export function withAnswer(tree: TreeDraft, key: string, answer: number | boolean | "untold" | null): TreeDraft {
  const findings = tree.findings.filter(([one]) => one !== key);
  const untold = tree.untold.filter((one) => one !== key);
  if (answer === "untold") return { ...tree, findings, untold: [...untold, key] };
  return { ...tree, findings: answer === null ? findings : [...findings, [key, answer]], untold };
}

/** Return the answer of a point. */
export function answerOf({ findings, untold }: TreeDraft, key: string): number | boolean | "untold" | null {
  return findings.find(([one]) => one === key)?.[1] ?? (untold.includes(key) ? "untold" : null);
}

/** Return the tree with yes to every checked point of yes or no that has no answer yet: a fault that was found stays found. Numbers are left as they are. */
export function withRestYes(tree: TreeDraft, points: readonly Point[]): TreeDraft {
  return points
    .filter(({ key, kind, is_checked }) => is_checked && kind === "yes_no" && answerOf(tree, key) === null)
    .reduce((now, { key }) => withAnswer(now, key, true), tree);
}

export interface Judged {
  /** Something is answered already. */
  isBegun: boolean;
  failed: readonly string[];
  verdict: TreeVerdict;
  /** Points of yes or no without an answer. */
  open: number;
  /** Measured points without a number: they may be left out. */
  unmeasured: number;
  /** Enough is said: everything asked with yes or no is answered, or the tree is faulty whatever the rest says. */
  isEnough: boolean;
}

/** Return what a tree comes to as far as it was judged. Only points that are checked count. */
export function judged(tree: TreeDraft, points: readonly Point[]): Judged {
  const checked = points.filter(({ is_checked }) => is_checked);
  const unanswered = checked.filter(({ key }) => answerOf(tree, key) === null);
  const open = unanswered.filter(({ kind }) => kind === "yes_no").length;
  const unmeasured = unanswered.length - open;
  const isBegun = tree.findings.length > 0 || tree.untold.length > 0;
  const verdict = treeVerdict(checked, tree.findings);
  const isEnough = tree.findings.length > 0 && (open === 0 || verdict === "faulty");
  return { failed: failedPoints(checked, tree.findings), verdict, isBegun, open, unmeasured, isEnough };
}

/** Return the walk at a tree, or past the last one. */
export function atTree(walk: WalkDraft, tree: TreeDraft | null): WalkDraft {
  return { ...walk, tree };
}

/** Return the walk after its tree was checked. */
export function withoutTree(walk: WalkDraft): WalkDraft {
  const { tree, last } = walk;
  return { ...walk, tree: null, last: tree === null ? last : { row: tree.row, position: tree.position } };
}

/** Return the walk of a second look with its tree passed by. */
export function withSkipped(walk: WalkDraft, reason: NotJudged): WalkDraft {
  const { tree, skipped } = walk;
  if (tree === null) return walk;
  const { row, position } = tree;
  return { ...withoutTree(walk), skipped: [...skipped.filter((one) => treeKey(one) !== treeKey(tree)), { row, position, reason }] };
}

/** Return the walk of a second look with a tree that was passed by taken up again. */
export function withBack(walk: WalkDraft, tree: Tree): WalkDraft {
  return { ...walk, skipped: walk.skipped.filter((one) => treeKey(one) !== treeKey(tree)) };
}

/** Return a walk read from the device's memory; one with nothing in it when what is kept there is none. */
export function walkFrom(kept: unknown): WalkDraft {
  const told = kept as Partial<WalkDraft> | null | undefined;
  if (typeof told !== "object" || told === null || !Array.isArray(told.skipped)) return NO_WALK;
  const { tree = null, last = null, skipped, begun = [], isFar = null, of = null, ground = null } = told;
  return { tree: tree !== null && isWhole(tree) ? tree : null, last, skipped, begun: begun.filter(isWhole), isFar, of, ground };
}

function isWhole({ checkId, findings, photos }: TreeDraft): boolean {
  return typeof checkId === "string" && Array.isArray(findings) && Array.isArray(photos);
}
