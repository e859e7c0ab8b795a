/** Where a lot stands as this device knows it: which trees are checked, which one is next, and what the verdict is so far. */

import type { CheckLine, LotVerdict, NotJudged, TreeVerdict } from "./contracts";
import type { Entry } from "./outbox";
import type { LotPack } from "./quality-contracts";
import { treeKey, type Tree } from "./sample-trees";
import { askedTrees, type AskedTrees, type LeftOut, type LeftOutTrees } from "./stand-ins";

/** A tree that a second look passes by, and why: it judges no lot, so that nobody else need know. */
export interface Skipped extends Tree {
  reason: NotJudged;
}
export const SKIP_REASONS = ["gone", "unreachable", "not_pruned", "other"] as const satisfies readonly NotJudged[];

export interface WalkTree extends Tree {
  isExtra: boolean;
  /** Its check, or null. */
  check: CheckLine | null;
  /** Why it is not judged, or null. */
  leftOut: LeftOut | null;
  /** It stands in for a tree that cannot be judged. */
  standsIn: boolean;
}
export interface WalkStanding {
  /** In walking order. */
  trees: WalkTree[];
  /** The first one that is neither checked nor left out, behind the tree that was left last; then from the beginning. */
  next: WalkTree | null;
  done: number;
  /** How many there are to check: without those left out. */
  all: number;
  /** How many rows of the walk lie before the next tree's, its own included. */
  row: number;
  rows: number;
}

const newest = (one: CheckLine, other: CheckLine): number => other[4].localeCompare(one[4]) || other[0].localeCompare(one[0]);

/** Return the check of each tree that holds: the latest of this lot, of first looks or of second ones. */
export function checksOfLot(checks: readonly CheckLine[], lotId: string, isSecond: boolean): Map<string, CheckLine> {
  const own = checks.filter(([, , , , , , , , lot, , , second]) => lot === lotId && (second ?? false) === isSecond);
  const found = new Map<string, CheckLine>();
  for (const check of [...own].sort(newest)) {
    const key = treeKey({ row: check[1], position: check[2] });
    if (!found.has(key)) found.set(key, check);
  }
  return found;
}

/**
 * Return where the walk stands, when nobody judges the trees of `leftOut`. A second look goes over the trees that had a first one.
 *
 * It goes on behind `last`: two auditors can share a lot, the second of whom begins in its middle.
 */
export function walkStanding(lot: LotPack, checks: readonly CheckLine[], leftOut: LeftOutTrees, isSecond = false, last: Tree | null = null): WalkStanding {
  const found = checksOfLot(checks, lot.id, isSecond);
  const asked = isSecond ? null : askedTrees(lot, new Set(found.keys()), leftOut);
  const called = new Set(asked?.called.map(treeKey));
  const walked = asked === null ? new Set(checksOfLot(checks, lot.id, false).keys()) : treesToWalk(lot, asked);
  const extra = new Map(lot.trees.map(([row, position, isExtra]) => [treeKey({ row, position }), isExtra]));
  const trees = lot.walk
    .map(([row, position]): WalkTree => {
      const key = treeKey({ row, position });
      const check = found.get(key) ?? null;
      return { row, position, isExtra: extra.get(key) ?? false, check, leftOut: check === null ? (leftOut.get(key) ?? null) : null, standsIn: called.has(key) };
    })
    .filter((tree) => walked.has(treeKey(tree)));
  const from = last === null ? 0 : trees.findIndex((tree) => treeKey(tree) === treeKey(last)) + 1;
  const ahead = [...trees.slice(from), ...trees.slice(0, from)];
  const next = ahead.find(({ check, leftOut: reason }) => check === null && reason === null) ?? null;
  const rows = [...new Set(trees.map(({ row }) => row))];
  return {
    trees,
    next,
    done: trees.filter(({ check }) => check !== null).length,
    all: trees.filter(({ leftOut: reason }) => reason === null).length,
    row: next === null ? rows.length : rows.indexOf(next.row) + 1,
    rows: rows.length,
  };
}

/** The drawn trees, extra ones too, and as many of the further ones as the draw came to. */
function treesToWalk({ trees }: LotPack, { called, leftOut }: Pick<AskedTrees, "called" | "leftOut">): Set<string> {
  return new Set([...trees.map(([row, position]) => ({ row, position })), ...called, ...leftOut].map(treeKey));
}

/** Who looks a second time. */
export interface Looker {
  id: string | null;
  /** Null where it is not known here, or somebody else who checks goes by it too. */
  name: string | null;
}

/** Return a lot without the trees that an auditor judged first, as far as the checks' names and this device's records tell: a second look is somebody else's. */
export function withoutOwnTrees(lot: LotPack, checks: readonly CheckLine[], records: readonly Pick<Entry, "record">[], { id: auditorId, name }: Looker): LotPack {
  const named = [...checksOfLot(checks, lot.id, false)].filter(([, check]) => name !== null && check[5] === name).map(([key]) => key);
  const firsts = new Map<string, string | null>(named.map((key) => [key, auditorId]));
  for (const { record } of records) {
    if ("verdict" in record && record.lot_id === lot.id && record.second !== true) firsts.set(treeKey(record), record.auditor_id ?? null);
  }
  const isOwn = (key: string): boolean => auditorId !== null && firsts.get(key) === auditorId;
  return { ...lot, walk: lot.walk.filter(([row, position]) => !isOwn(treeKey({ row, position }))) };
}

export interface LotSoFar extends Record<TreeVerdict, number> {
  checked: number;
  /** How many checks decide, fewer than the plan's where the whole lot is drawn and trees of it are gone. */
  needed: number;
  /** From so many faulty ones on it goes back: fewer than the plan's where as few trees are left of it. */
  reject: number;
  /** Too few trees are left to judge: the further ones are used up. */
  isShort: boolean;
  verdict: LotVerdict;
}

/** Return what the checks of a lot come to, by the rule of `orchardmap.quality.verdict`: extra trees and second looks never enter. */
export function lotSoFar(lot: LotPack, checks: readonly CheckLine[], leftOut: LeftOutTrees): LotSoFar {
  const found = checksOfLot(checks, lot.id, false);
  const { trees, needed, reject, isShort } = askedTrees(lot, new Set(found.keys()), leftOut);
  const drawn = trees.flatMap((tree) => found.get(treeKey(tree))?.[3] ?? []);
  const of = (verdict: TreeVerdict): number => drawn.filter((one) => one === verdict).length;
  const told = { meets: of("meets"), minor: of("minor"), faulty: of("faulty"), checked: drawn.length, needed, reject, isShort };
  return { ...told, verdict: told.faulty >= reject ? "send_back" : told.checked >= needed ? "accepted" : "too_few" };
}
