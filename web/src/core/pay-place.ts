/** Parts of the screen of pay, and what its address asks for. */

import { weekOf } from "./pay-week";
import type { Place } from "./place";

/** In the order in which they are offered; the first one is shown where none is named. */
export const PAY_PARTS = ["run", "hours", "rules", "runs", "cost"] as const;
export type PayPart = (typeof PAY_PARTS)[number];

function dayOf(text: string | undefined): string | null {
  return text !== undefined && /^\d{4}-\d\d-\d\d$/.test(text) && !Number.isNaN(Date.parse(`${text}T00:00:00Z`)) ? text : null;
}

/** Days that the parts of the screen show: from the first one the week, or to the last one where that is another. */
export interface PayDays {
  day: string;
  until: string | null;
}

/** Return the part and the days that an address asks for; what is none is passed over. */
export function payAsked({ part, day, until }: Pick<Place, "part" | "day" | "until">): { part: PayPart; day: string | null; until: string | null } {
  const [first, last] = [dayOf(day), dayOf(until)];
  return { part: PAY_PARTS.find((one) => one === part) ?? "run", day: first, until: first !== null && last !== null && last >= first ? last : null };
}

/** Return the days that a run shows as an address keeps them: without a last one where they are the week of the first, as far as it has come. */
export function keptDays([first, last]: readonly [first: string, last: string], today: string, starts: number): PayDays {
  const week = weekOf(first, starts);
  const ends = week.at(-1) ?? first;
  return { day: first, until: first === week[0] && last === (ends > today ? today : ends) ? null : last };
}

/** Return the days to keep once hours of a week are shown: those of the run where they are among them, else that week. */
export function daysBeside(kept: PayDays | null, [first, last]: readonly [first: string, last: string]): PayDays {
  if (kept !== null && kept.day <= last && (kept.until ?? kept.day) >= first) return kept;
  return { day: first, until: null };
}
