/** What quality asks of a manager today: lots without their return, weak areas, returns that are late or to be checked anew. */

import type { FarmLots, Return, WantingLot } from "../../core/quality-contracts";
import { blocksWithLots, wantsReturn } from "../../core/quality-lots";
import { QUALITY_NEEDS } from "../../core/quality-needs-wording";
import { qualityApi } from "../../data/quality-api";
import type { Context } from "../context";
import { isOf, type Looked, type Way } from "./needs-you";

/** One thing that waits, and the ways to where it is mended. */
export interface Need {
  text: string;
  to: Way[];
}

/** A day that is over asks for nothing any more, but for what its own checks said. */
export async function qualityNeeds(overview: Looked, context: Context): Promise<Need[]> {
  if (overview.day !== context.farm.today) return pastNeeds(overview);
  const api = qualityApi(context.request);
  const [lots, { returns }] = await Promise.all([api.lots(context.farm.id), api.returns(context.farm.id)]);
  const mine = ({ block_id, crew_id }: { block_id: string; crew_id: string | null }): boolean => isOf(overview, block_id, crew_id);
  // every day there are trees that no lot has yet: only a season that nobody looks at is told of
  const wanting = lots.lots.length === 0 ? (lots.wanting ?? []).filter(mine) : [];
  return needsOf(overview, { ...lots, lots: lots.lots.filter(mine), wanting }, returns.filter(mine), blocksWithLots(lots.lots));
}

/** How a block stood on a day that is over: what its lots and returns said then is not known one by one. */
function pastNeeds({ blocks }: Looked): Need[] {
  const to = blocks.filter(({ verdict }) => verdict === "send_back").map(({ id, code }): Way => ({ text: code, to: { screen: "checks", block: id } }));
  return to.length === 0 ? [] : [{ text: QUALITY_NEEDS.blockWasBack(to.length), to }];
}

/** Return what waits, what was sent back first. `withLots` are the blocks whose verdict is that of lots, anybody's: where those of others are left out it stays theirs. */
export function needsOf(
  overview: Pick<Looked, "blocks">, { lots, wanting = [] }: Pick<FarmLots, "lots" | "wanting">, returns: readonly Return[], withLots: ReadonlySet<string> = blocksWithLots(lots),
): Need[] {
  const back = lots.filter(wantsReturn);
  const of = (wanted: (one: Return) => boolean, text: (n: number) => string, to: (one: Return) => Way["to"]): Need[] => {
    const found = returns.filter(wanted);
    const ways = found.map((one) => ({ text: QUALITY_NEEDS.returnOf(one.number, one.block_code), to: to(one) }));
    return found.length === 0 ? [] : [{ text: text(found.length), to: ways }];
  };
  const listed = ({ block_id }: Return): Way["to"] => ({ screen: "quality", block: block_id, part: "returns" });
  const backWays = back.map(({ id, number, block_code }) => ({
    text: QUALITY_NEEDS.lotOf(number, block_code),
    to: { screen: "quality", block: null, lot: id } as const,
  }));
  return [
    ...(back.length === 0 ? [] : [{ text: QUALITY_NEEDS.sentBack(back.length), to: backWays }]),
    ...blockNeeds(overview, withLots),
    ...of(({ is_late, state }) => is_late && state === "open", QUALITY_NEEDS.late, listed),
    ...of(({ state }) => state === "redone", QUALITY_NEEDS.redone, ({ id, block_id }) => ({ screen: "quality", block: block_id, part: "new-lot", recheck: id })),
    ...weakNeeds(overview),
    ...unlookedNeeds(wanting),
  ];
}

/** Blocks sent back by checks that were made without a lot. */
function blockNeeds({ blocks }: Pick<Looked, "blocks">, withLots: ReadonlySet<string>): Need[] {
  const back = blocks.filter(({ id, verdict }) => verdict === "send_back" && !withLots.has(id));
  const to = back.map(({ id, code }): Way => ({ text: code, to: { screen: "checks", block: id } }));
  return back.length === 0 ? [] : [{ text: QUALITY_NEEDS.blockBack(back.length), to }];
}

function unlookedNeeds(wanting: readonly WantingLot[]): Need[] {
  const trees = wanting.reduce((sum, one) => sum + one.trees, 0);
  return trees === 0 ? [] : [{ text: QUALITY_NEEDS.unlooked(trees), to: [{ text: QUALITY_NEEDS.newLot, to: { screen: "quality", block: null, part: "new-lot" } }] }];
}

function weakNeeds({ blocks }: Pick<Looked, "blocks">): Need[] {
  const weak = blocks.flatMap(({ id, code, weak: n = 0 }) => (n > 0 ? [{ id, code, n }] : []));
  if (weak.length === 0) return [];
  const to = weak.map(({ id, code, n }): Way => ({ text: QUALITY_NEEDS.areasOf(code, n), to: { screen: "quality", block: id, part: "weak" } }));
  return [{ text: QUALITY_NEEDS.weak(weak.reduce((sum, { n }) => sum + n, 0)), to }];
}
