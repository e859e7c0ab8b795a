/** Parts of the screen of pay, and what its address asks for. */

import type { Place } from "./place";

/** In the order in which they are offered; the first one is shown where none is named. */
export const PAY_PARTS = ["run", "hours", "rules", "runs", "cost"] as const;
export type PayPart = (typeof PAY_PARTS)[number];

/** Return the part and the day that an address asks for; what is none is passed over. */
export function payAsked({ part, day }: Pick<Place, "part" | "day">): { part: PayPart; day: string | null } {
  const isDay = day !== undefined && /^\d{4}-\d\d-\d\d$/.test(day) && !Number.isNaN(Date.parse(`${day}T00:00:00Z`));
  return { part: PAY_PARTS.find((one) => one === part) ?? "run", day: isDay ? day : null };
}
