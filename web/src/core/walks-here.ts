/** The lots of a block that this device can walk, and what it has begun of lots that are gone. */

import type { BlockLots, LotPack } from "./quality-contracts";
import { checksToCome, isBegun } from "./walk-begun";
import { walkFrom, type WalkDraft } from "./walk-draft";

/** What a walk's draft is kept under; the lot's id stands in it. */
export const WALKS = "walk:";

/** Return the name that a walk is kept under. */
export function walkName(lotId: string, isSecond: boolean): string {
  return `${WALKS}${lotId}:${isSecond ? "second" : "first"}`;
}

/** Return the lots that are walked for the first time, and those of earlier days that can be looked at a second time, newest first. */
export function lotsToWalk(lots: readonly LotPack[], today: string): { open: LotPack[]; earlier: LotPack[] } {
  const isEarlier = ({ decided_on }: LotPack): boolean => decided_on != null && decided_on < today;
  return { open: lots.filter((lot) => !isEarlier(lot)), earlier: lots.filter(isEarlier).reverse() };
}

/** A lot that was begun here and is gone. */
export interface GoneWalk {
  number: number;
  isCancelled: boolean;
  isHalfAnswered: boolean;
  /** What is kept of it. */
  names: string[];
}
export interface WalksHere {
  /** The auditor is told of these, then they go. */
  gone: GoneWalk[];
  /** Nobody misses these. */
  past: string[];
  /** Ids of checks that are being made in any walk. */
  toCome: Set<string>;
}

/** Sort what is kept of walks, by name, for one block as it is now. */
export function walksHere(kept: ReadonlyMap<string, unknown>, block: string, { lots, cancelled = [] }: BlockLots): WalksHere {
  const there = new Set(lots.map(({ id }) => id));
  const isOut = new Set(cancelled.map(({ id }) => id));
  const gone = new Map<string, GoneWalk>();
  const past: string[] = [];
  const toCome = new Set<string>();
  for (const [name, value] of kept) {
    const walk = walkFrom(value);
    const lot = name.slice(WALKS.length).split(":")[0] ?? "";
    for (const id of checksToCome(walk)) toCome.add(id);
    if (walk.of?.block !== block || there.has(lot)) continue;
    const isHalfAnswered = halfAnswered(walk);
    // a lot that was decided long ago is no news: half answers to it are
    if (!isHalfAnswered && !(isOut.has(lot) && walk.last !== null)) past.push(name);
    else {
      const before = gone.get(lot) ?? { number: walk.of.number, isCancelled: isOut.has(lot), isHalfAnswered, names: [] };
      gone.set(lot, { ...before, isHalfAnswered: before.isHalfAnswered || isHalfAnswered, names: [...before.names, name] });
    }
  }
  return { gone: [...gone.values()], past, toCome };
}

function halfAnswered({ tree, begun }: WalkDraft): boolean {
  return begun.length > 0 || (tree !== null && isBegun(tree));
}
