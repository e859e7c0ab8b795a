/** What the lists and forms of quality ask of lots, returns and areas. */

import { byCode } from "./block-order";
import type { BlockSummary } from "./contracts";
import type { FarmLots, FullLot, Lot, LotTree, Return, ReturnState, WantingLot, WeakArea } from "./quality-contracts";

export interface LotsByState {
  /** Sent back, and no return is made of them yet, or of a part only. */
  back: Lot[];
  open: Lot[];
  decided: Lot[];
  cancelled: Lot[];
}

/** Sort lots by what is to be done: those to act on with the oldest first, those that are over with the newest first. */
export function lotsByState(lots: readonly Lot[]): LotsByState {
  const oldest = [...lots].sort((a, b) => a.number - b.number);
  const standing = oldest.filter(({ cancelled }) => cancelled === null);
  return {
    back: oldest.filter(wantsReturn),
    open: standing.filter(({ is_decided }) => !is_decided),
    decided: standing.filter((lot) => lot.is_decided && !wantsReturn(lot)).reverse(),
    cancelled: oldest.filter(({ cancelled }) => cancelled !== null).reverse(),
  };
}

/** Tell whether a lot was sent back: more checks can no longer turn it. */
export function isSentBack({ verdict, is_decided, cancelled }: Lot): boolean {
  return is_decided && cancelled === null && verdict === "send_back";
}

/** Tell whether a tree of a lot was looked at: then only a manager cancels it. */
export function isBegun({ trees }: Pick<FullLot, "trees">): boolean {
  return trees.some(({ check, second }) => check !== null || second !== null);
}

/** Tell whether a lot was sent back and trees of it are in no return. */
export function wantsReturn(lot: Lot): boolean {
  return isSentBack(lot) && lot.not_sent_back > 0;
}

/** Tell whether some of a lot's trees were sent back, and others of them in no return. */
export function isPartSent(lot: Lot): boolean {
  return wantsReturn(lot) && lot.not_sent_back < lot.lot_trees;
}

/** Return what wants a lot, most trees first; by block alone where the service does not say by crew. */
export function wanting({ wanting: told }: FarmLots, blocks: readonly BlockSummary[]): WantingLot[] {
  const found =
    told ??
    blocks.flatMap(({ id, code, uninspected }) =>
      uninspected ? [{ block_id: id, block_code: code, crew_id: null, crew: "", trees: uninspected }] : [],
    );
  return [...found].sort((a, b) => b.trees - a.trees || byCode({ code: a.block_code }, { code: b.block_code }));
}

/** Return the ids of the blocks in which a lot stands. */
export function blocksWithLots(lots: readonly Lot[]): ReadonlySet<string> {
  return new Set(lots.filter(({ cancelled }) => cancelled === null).map(({ block_id }) => block_id));
}

/** Return the blocks that are judged by drawn trees alone: checks of no lot, as they were made before there were lots. */
export function judgedApart<Block extends Pick<BlockSummary, "id" | "drawn">>(blocks: readonly Block[], lots: readonly Lot[]): Block[] {
  const withLots = blocksWithLots(lots);
  return blocks.filter(({ id, drawn }) => drawn > 0 && !withLots.has(id));
}

/** Return the keys of the points that failed on any of the lot's trees, worst first. */
export function failedKeys({ points }: Pick<FullLot, "points">): string[] {
  return points.filter(({ failed }) => failed > 0).map(({ key }) => key);
}

/** Return the lot's trees as they are walked. */
export function asWalked({ trees, walk }: Pick<FullLot, "trees" | "walk">): LotTree[] {
  const place = new Map(walk.map(([row, position], at) => [`${row} ${position}`, at]));
  const at = ({ row, position }: LotTree): number => place.get(`${row} ${position}`) ?? walk.length;
  return [...trees].sort((a, b) => at(a) - at(b) || a.number - b.number);
}

const STATES: readonly ReturnState[] = ["failed", "redone", "open", "confirmed", "cancelled"];

/** Order returns by what wants a hand: late ones first, then those to answer, then the open ones by day; what is over comes last. */
export function returnsInOrder(returns: readonly Return[]): Return[] {
  const place = ({ is_late, state }: Return): number => (is_late ? -1 : STATES.indexOf(state));
  return [...returns].sort((a, b) => place(a) - place(b) || a.due_on.localeCompare(b.due_on) || b.number - a.number);
}

/** Return the recheck by which a return was sent back again; from it the next return is made. Null where there is none. */
export function failedRecheck({ id, state }: Return, lots: readonly Lot[]): Lot | null {
  if (state !== "failed") return null;
  const rechecks = lots.filter((lot) => lot.return_id === id && wantsReturn(lot));
  return rechecks.at(-1) ?? null;
}

/** Tell whether a return is over: nothing is left to be done about it, or another one stands in its place. */
export function isOver(one: Return, lots: readonly Lot[]): boolean {
  return one.state === "confirmed" || one.state === "cancelled" || (one.state === "failed" && failedRecheck(one, lots) === null);
}

/** Return the crew with the most faulty trees of an area; null where none is known. */
export function crewOfArea({ crews }: WeakArea): string | null {
  const [worst] = [...crews].sort((a, b) => b.faulty - a.faulty || b.checked - a.checked);
  return worst?.crew_id ?? null;
}

/** Return an ISO day so many days later. */
export function daysLater(day: string, days: number): string {
  return new Date(Date.parse(`${day}T00:00:00Z`) + days * 86_400_000).toISOString().slice(0, 10);
}
