/** Lines of a run as a table of people: what each one is paid for what, crew by crew. */

import type { GapCode, LineKind, PayGap, PayLine, PayPreview } from "./pay-contracts";
import { isNothing, sumOf } from "./pay-money";

/** What stands in a column of its own; whatever changes what was paid before stands together. */
export type PayColumn = LineKind | "correction";
export const COLUMNS: readonly PayColumn[] = ["trees", "hours", "other", "bonus", "rest", "top_up", "overtime", "correction"];

export interface PersonPay {
  person_id: string;
  crew_id: string;
  /** At work; null where the run tells none (a correction alone). */
  hours: number | null;
  amounts: Partial<Record<PayColumn, string>>;
  total: string;
  lines: PayLine[];
}
export interface CrewPay {
  crew_id: string;
  people: PersonPay[];
  total: string;
}

function columnOf({ kind, paid_before }: PayLine): PayColumn {
  return paid_before === null ? kind : "correction";
}

/** Return the people of a run by crew, in the order of `names`. */
export function peopleByCrew(
  lines: readonly PayLine[],
  hours: PayPreview["people"],
  inOrder: (one: string, other: string) => number,
): CrewPay[] {
  const places = new Map<string, { crew_id: string; person_id: string; lines: PayLine[] }>();
  const placeOf = (crew_id: string, person_id: string) => {
    const key = `${crew_id}/${person_id}`;
    const found = places.get(key) ?? { crew_id, person_id, lines: [] };
    places.set(key, found);
    return found;
  };
  for (const line of lines) placeOf(line.crew_id, line.person_id).lines.push(line);
  const made = [...places.values()].map(({ crew_id, person_id, lines: own }): PersonPay => {
    const worked = hours.find((one) => one.crew_id === crew_id && one.person_id === person_id);
    const amounts: Partial<Record<PayColumn, string>> = {};
    for (const column of COLUMNS) {
      const those = own.filter((line) => columnOf(line) === column);
      if (those.length > 0) amounts[column] = sumOf(those.map(({ amount }) => amount));
    }
    return { person_id, crew_id, hours: worked === undefined ? null : Number(worked.hours), amounts, total: sumOf(own.map(({ amount }) => amount)), lines: own };
  });
  const crews = [...new Set(made.map(({ crew_id }) => crew_id))].sort(inOrder);
  return crews.map((crew_id) => {
    const people = made.filter((one) => one.crew_id === crew_id).sort((a, b) => inOrder(a.person_id, b.person_id));
    return { crew_id, people, total: sumOf(people.map(({ total }) => total)) };
  });
}

/** Return the columns in which anything stands. */
export function usedColumns(crews: readonly CrewPay[]): PayColumn[] {
  const all = crews.flatMap(({ people }) => people);
  return COLUMNS.filter((column) => all.some(({ amounts }) => !isNothing(amounts[column] ?? "0") || (column === "trees" && amounts[column] !== undefined)));
}

export interface GapOfDays extends PayGap {
  /** All the days that the same is said of. */
  days: string[];
}

/** What is said once of all the days of a crew. */
const TOGETHER: ReadonlySet<GapCode> = new Set(["shared_alike", "not_in_a_run"]);

/** Return what is missing, days without names of one crew taken together: it is one thing to mend, a week at a time. */
export function gapsTogether(gaps: readonly PayGap[]): GapOfDays[] {
  const made: GapOfDays[] = [];
  for (const gap of gaps) {
    const same = TOGETHER.has(gap.code) ? made.find(({ code, crew_id }) => code === gap.code && crew_id === gap.crew_id) : undefined;
    if (same === undefined) made.push({ ...gap, days: [gap.day] });
    else same.days.push(gap.day);
  }
  // what costs somebody money stands before what is only shared
  return made.sort((a, b) => Number(a.code === "shared_alike") - Number(b.code === "shared_alike"));
}

/** Return the number of somebody of a head count, or null for a person with a name. */
export function numberOfHead(person_id: string): number | null {
  const found = / (\d+)$/.exec(person_id)?.[1];
  return found === undefined ? null : Number(found);
}
