/** How a brief stands, in words: by whom and when it was published, and whether its draft has changed since. */

import { dayIn } from "./ahead";
import type { BriefContent, BriefLine, BriefVersion } from "./brief-contracts";
import { BRIEFS, EDITOR } from "./briefs-wording";
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

/** Return a value as text, whatever order its keys were written in. */
function plain(value: unknown): string {
  if (typeof value !== "object" || value === null) return JSON.stringify(value) ?? "";
  if (Array.isArray(value)) return `[${value.map(plain).join()}]`;
  const entries = Object.entries(value).sort(([one], [other]) => (one < other ? -1 : 1));
  return `{${entries.map(([key, part]) => `${JSON.stringify(key)}:${plain(part)}`).join()}}`;
}

/** Say what crews go by while a draft is written. */
export function heldWords(latest: BriefVersion | null, draft: BriefContent): string {
  if (latest === null) return EDITOR.heldNone;
  return plain(latest.content) === plain(draft) ? EDITOR.heldSame(latest.version) : EDITOR.heldOther(latest.version);
}
