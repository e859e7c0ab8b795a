/** How a brief stands, in words: by whom and when it was published, and whether its draft has changed since. */

import { dayIn } from "./ahead";
import type { BriefLine } from "./brief-contracts";
import { BRIEFS } from "./briefs-wording";
import { dayText } from "./numbers";

/** Return the day of a moment in a farm's zone, in words. */
export function dayOf(iso: string, timeZone: string): string {
  return dayText(dayIn(timeZone, Date.parse(iso)));
}

/** Say how a brief stands. */
export function stateWords(brief: BriefLine | null, timeZone: string): string {
  if (brief === null) return BRIEFS.none;
  if (brief.latest === null) return BRIEFS.draft;
  const { version, published_at, published_by } = brief.latest;
  const words = brief.is_changed === true ? BRIEFS.changedSince : BRIEFS.version;
  return words(version, dayOf(published_at, timeZone), published_by ?? "");
}
