/** Crew-days as a manager sees them: what stands of each day, the latest first, and what nobody said. */

import type { ToldCrewDay, WithoutHours } from "./forecast-contracts";

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
