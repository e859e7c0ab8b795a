/** Where a lot stands as this device knows it: which trees are checked, which one is next, and what the verdict is so far. */

import type { CheckLine, LotVerdict, TreeVerdict } from "./contracts";
import type { Entry } from "./outbox";
import type { LotPack } from "./quality-contracts";
import { treeKey, type Tree } from "./sample-trees";

/** A tree that could not be judged, and why. */
export interface Skipped extends Tree {
  reason: SkipReason;
}
export const SKIP_REASONS = ["gone", "unreachable", "not_pruned", "other"] as const;
export type SkipReason = (typeof SKIP_REASONS)[number];

export interface WalkTree extends Tree {
  isExtra: boolean;
  /** Its check, or null. */
  check: CheckLine | null;
  skipped: SkipReason | null;
}
export interface WalkStanding {
  /** In walking order. */
  trees: WalkTree[];
  /** The first one that is neither checked nor skipped, behind the tree that was left last; then from the beginning. */
  next: WalkTree | null;
  done: number;
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
 * Return where the walk stands. A second look goes over the trees that had a first one.
 *
 * It goes on behind `last`: two auditors can share a lot, the second of whom begins in its middle.
 */
export function walkStanding(lot: LotPack, checks: readonly CheckLine[], skipped: readonly Skipped[], isSecond = false, last: Tree | null = null): WalkStanding {
  const found = checksOfLot(checks, lot.id, isSecond);
  const first = isSecond ? checksOfLot(checks, lot.id, false) : null;
  const extra = new Map(lot.trees.map(([row, position, isExtra]) => [treeKey({ row, position }), isExtra]));
  const left = new Map(skipped.map((one) => [treeKey(one), one.reason]));
  const trees = lot.walk
    .map(([row, position]): WalkTree => {
      const key = treeKey({ row, position });
      const check = found.get(key) ?? null;
      return { row, position, isExtra: extra.get(key) ?? false, check, skipped: check === null ? (left.get(key) ?? null) : null };
    })
    .filter((tree) => first === null || first.has(treeKey(tree)));
  const from = last === null ? 0 : trees.findIndex((tree) => treeKey(tree) === treeKey(last)) + 1;
  const ahead = [...trees.slice(from), ...trees.slice(0, from)];
  const next = ahead.find(({ check, skipped: reason }) => check === null && reason === null) ?? null;
  const rows = [...new Set(trees.map(({ row }) => row))];
  return {
    trees,
    next,
    done: trees.filter(({ check }) => check !== null).length,
    row: next === null ? rows.length : rows.indexOf(next.row) + 1,
    rows: rows.length,
  };
}

/** Return a lot without the trees that an auditor judged first, as far as this device's records tell: a second look is somebody else's. */
export function withoutOwnTrees(lot: LotPack, records: readonly Pick<Entry, "record">[], auditorId: string | null): LotPack {
  const firsts = new Map<string, string | null>();
  for (const { record } of records) {
    if ("verdict" in record && record.lot_id === lot.id && record.second !== true) firsts.set(treeKey(record), record.auditor_id ?? null);
  }
  const isOwn = (key: string): boolean => auditorId !== null && firsts.get(key) === auditorId;
  return { ...lot, walk: lot.walk.filter(([row, position]) => !isOwn(treeKey({ row, position }))) };
}

export interface LotSoFar extends Record<TreeVerdict, number> {
  checked: number;
  verdict: LotVerdict;
}

/** Return what the checks of a lot come to, by the rule of `orchardmap.quality.verdict`: extra trees and second looks never enter. */
export function lotSoFar(lot: LotPack, checks: readonly CheckLine[]): LotSoFar {
  const found = checksOfLot(checks, lot.id, false);
  const drawn = lot.trees.flatMap(([row, position, isExtra]) => (isExtra ? [] : (found.get(treeKey({ row, position }))?.[3] ?? [])));
  const of = (verdict: TreeVerdict): number => drawn.filter((one) => one === verdict).length;
  const told = { meets: of("meets"), minor: of("minor"), faulty: of("faulty"), checked: drawn.length };
  const verdict = told.faulty >= lot.reject ? "send_back" : told.checked >= Math.min(lot.n, lot.lot_trees) ? "accepted" : "too_few";
  return { ...told, verdict };
}
