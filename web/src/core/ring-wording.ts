/** What stands on and beside a block's ring, in words. */

import type { BlockSummary } from "./contracts";
import { tn } from "./language";

/** Return trees to be gone over again and, for those who answer for them, weak areas; empty where there is neither. */
export function ringWords({ again = 0, weak = 0 }: Pick<BlockSummary, "again" | "weak">): string {
  return [
    again > 0 ? tn("{n} tree to go over again", "{n} trees to go over again", again) : "",
    weak > 0 ? tn("{n} weak area without a return", "{n} weak areas without a return", weak) : "",
  ]
    .filter((said) => said !== "")
    .join("; ");
}
