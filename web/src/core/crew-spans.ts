/** People of crews by spans of days, as a form has them: what of them cannot be. */

import type { Strength } from "./forecast-contracts";

export type SpanFault = "days" | "people" | "meets";
const MOST_PEOPLE = 1_000;

/** Return what is wrong with each span, null where nothing is: spans of one crew never meet. */
export function oddSpans(spans: readonly Strength[]): (SpanFault | null)[] {
  return spans.map((one, at): SpanFault | null => {
    if (one.first === "" || one.last === "" || one.last < one.first) return "days";
    if (!Number.isInteger(one.people) || one.people < 0 || one.people > MOST_PEOPLE) return "people";
    const meets = spans.some((other, n) => n < at && other.crew_id === one.crew_id && other.first <= one.last && one.first <= other.last);
    return meets ? "meets" : null;
  });
}
