/** The order in which blocks are looked for. */

import type { BlockSummary } from "./contracts";

const NATURAL = new Intl.Collator("en", { numeric: true, sensitivity: "base" });

/** Order codes as people do, K2 before K10, whatever their case: as the service does (`orchardmap/model/code_order.py`). */
export function inCodeOrder(a: string, b: string): number {
  return NATURAL.compare(a, b) || (a < b ? -1 : a > b ? 1 : 0);
}

/** Order blocks by their code. */
export function byCode(a: Pick<BlockSummary, "code">, b: Pick<BlockSummary, "code">): number {
  return inCodeOrder(a.code, b.code);
}

type Block = Pick<BlockSummary, "id" | "code" | "closed" | "pruned" | "trees" | "again"> & { isAskedOfOthers?: boolean };

/**
 * Return blocks as a foreman looks for them: those worked in `today`, those to go over again, begun ones, not begun, finished, closed.
 *
 * What only other crews are to go over again stands where it would without.
 */
export function inOrderOfWork<Of extends Block>(blocks: readonly Of[], today: ReadonlySet<string>): Of[] {
  const stage = ({ id, closed, pruned, trees, again = 0, isAskedOfOthers = false }: Block): number => {
    if (closed !== null) return 5;
    if (today.has(id)) return 0;
    if (again > 0 && !isAskedOfOthers) return 1;
    if (pruned >= trees) return 4;
    return pruned > 0 ? 2 : 3;
  };
  return [...blocks].sort((a, b) => stage(a) - stage(b) || byCode(a, b));
}

type Given = Pick<BlockSummary, "pruned" | "trees" | "queue" | "closed" | "again"> & { isAskedOfOthers?: boolean };

/**
 * Return the blocks with work left that a crew was given, in order, closed ones last; those of the rest that are open and hold
 * trees that it is to go over again; and all others. The last two as they came.
 */
export function ownAndOthers<Of extends Given>(blocks: readonly Of[], crewId: string): { own: Of[]; again: Of[]; others: Of[] } {
  const isOwn = ({ pruned, trees, queue }: Given): boolean => queue?.crew_id === crewId && pruned < trees;
  const place = ({ queue, closed }: Given): number => (closed === null ? 0 : 1e6) + (queue?.place ?? 0);
  const isAgain = ({ again = 0, isAskedOfOthers = false, closed }: Given): boolean => again > 0 && !isAskedOfOthers && closed === null;
  const rest = blocks.filter((block) => !isOwn(block));
  return { own: blocks.filter(isOwn).sort((a, b) => place(a) - place(b)), again: rest.filter(isAgain), others: rest.filter((block) => !isAgain(block)) };
}
