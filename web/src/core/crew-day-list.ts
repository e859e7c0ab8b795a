/** Crew-days as a manager sees them: what stands of each day, the latest first, and what nobody said. */

import type { ToldCrewDay, WithoutHours } from "./forecast-contracts";
import { saysNothingNew, type Entered } from "./knock-off";

/** Return the entries that stand of a season, the latest day first. */
export function standingCrewDays(all: readonly ToldCrewDay[], seasonId: string): ToldCrewDay[] {
  return all
    .filter(({ standing, season_id }) => standing && season_id === seasonId)
    .sort((a, b) => (a.day === b.day ? (a.id < b.id ? -1 : 1) : a.day < b.day ? 1 : -1));
}

/** Return the days without hours, the latest first; what was entered meanwhile is left out. */
export function stillWithoutHours(told: readonly WithoutHours[], standing: readonly ToldCrewDay[]): WithoutHours[] {
  const said = new Set(standing.map(({ day, crew_id }) => `${day} ${crew_id}`));
  return told.filter(({ day, crew_id }) => !said.has(`${day} ${crew_id}`)).sort((a, b) => (a.day < b.day ? 1 : a.day > b.day ? -1 : 0));
}

/**
 * Return why an entry is not made: the crew has another one of that day and method (`twice`), or it says what the corrected
 * one says (`same`); null where it may be. Ladder and platform on one day are two entries, and both stand.
 */
export function refusedBy(
  standing: readonly ToldCrewDay[],
  { crew_id, day }: Pick<WithoutHours, "crew_id" | "day">,
  entered: Entered,
  correcting: ToldCrewDay | null,
): "twice" | "same" | null {
  const others = standing.filter((one) => one.crew_id === crew_id && one.day === day && one.id !== correcting?.id);
  if (others.some(({ method }) => method === entered.method)) return "twice";
  return correcting !== null && saysNothingNew([correcting], entered) ? "same" : null;
}
