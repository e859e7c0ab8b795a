/** How a block stands against the day by which it must be finished. */

import type { BlockFinish } from "./forecast-contracts";

export type BlockStanding = "in_time" | "may_be_late" | "late";

/** Late where it is likely after its own day, else the season's; perhaps late where 9 in 10 are. Null for a day is never. */
export function standingOf({ p50, p90, must_finish_on }: Pick<BlockFinish, "p50" | "p90" | "must_finish_on">, ofSeason: string | null): BlockStanding {
  const mustFinish = must_finish_on ?? ofSeason;
  if (mustFinish === null) return "in_time";
  if (p50 === null || p50 > mustFinish) return "late";
  return p90 === null || p90 > mustFinish ? "may_be_late" : "in_time";
}

/** Return blocks that are late or may be, the latest first. */
export function heldUpBy<Block extends BlockFinish>(blocks: readonly Block[], ofSeason: string | null): Block[] {
  const end = ({ p50 }: Block): string => p50 ?? "9999";
  return blocks.filter((one) => standingOf(one, ofSeason) !== "in_time").sort((a, b) => end(b).localeCompare(end(a)));
}
