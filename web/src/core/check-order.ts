/** The order in which an auditor looks for blocks, and what waits there. */

import { byCode } from "./block-order";
import type { BlockSummary } from "./contracts";
import { tn } from "./language";

type Block = Pick<BlockSummary, "code" | "pruned" | "drawn" | "must_check" | "lots_open">;

/** Return how many lots of a block wait for checks; none once this device's own checks are all that they want. */
function lotsToCheck({ lots_open = 0, drawn, must_check }: Block): number {
  return must_check !== null && drawn >= must_check ? 0 : lots_open;
}

/** Say how many lots of a block wait; nothing where none does. */
export function lotsWaiting(block: Block): string {
  const n = lotsToCheck(block);
  return n === 0 ? "" : tn("{n} lot to check", "{n} lots to check", n);
}

/** Return blocks as an auditor looks for them: those with a lot to check, then begun ones, then the others; by code each. */
export function inOrderOfChecks<Of extends Block>(blocks: readonly Of[]): Of[] {
  const stage = (block: Of): number => (lotsToCheck(block) > 0 ? 0 : block.pruned > 0 ? 1 : 2);
  return [...blocks].sort((a, b) => stage(a) - stage(b) || byCode(a, b));
}
