/** People of crews by spans of days, as a form has them: what of them cannot be, and which holds where two meet. */

import type { Strength } from "./forecast-contracts";
import { dayAfter, dayBefore } from "./knock-off";

export type SpanFault = "days" | "people";
const MOST_PEOPLE = 1_000;

/** Return a last day to compare others with: without one a span goes on. */
function endOf(last: string | null): string {
  return last ?? "9999-12-31";
}

/** Return what is wrong with each span, null where nothing is. */
export function oddSpans(spans: readonly Strength[]): (SpanFault | null)[] {
  return spans.map(({ first, last, people }): SpanFault | null => {
    if (first === "" || last === "" || endOf(last) < first) return "days";
    return Number.isInteger(people) && people >= 0 && people <= MOST_PEOPLE ? null : "people";
  });
}

/**
 * Return the same people in spans that never meet: where two of one crew do, the later in the list holds. So six people from
 * Monday on are one line more, and what was before Monday stays as it was said.
 */
export function laidOver(spans: readonly Strength[]): Strength[] {
  return spans.reduce<Strength[]>((under, over) => [...under.flatMap((one) => around(one, over)), over], []);
}

/** Return what is left of a span when another one of the same crew is laid over it. */
function around(one: Strength, over: Strength): Strength[] {
  if (one.crew_id !== over.crew_id || endOf(one.last) < over.first || endOf(over.last) < one.first) return [one];
  return [
    ...(one.first < over.first ? [{ ...one, last: dayBefore(over.first) }] : []),
    ...(over.last !== null && over.last < endOf(one.last) ? [{ ...one, first: dayAfter(over.last) }] : []),
  ];
}
