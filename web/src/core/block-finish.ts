/** How a block stands against the day by which it must be finished. */

import type { Finish } from "./forecast-contracts";

export type BlockStanding = "in_time" | "may_be_late" | "late";

/** Late where it is likely after that day, perhaps late where 9 in 10 are; null for a day is never. */
export function standingOf({ p50, p90 }: Finish, mustFinish: string | null): BlockStanding {
  if (mustFinish === null) return "in_time";
  if (p50 === null || p50 > mustFinish) return "late";
  return p90 === null || p90 > mustFinish ? "may_be_late" : "in_time";
}
