/** The days of a season that may be looked at. They come with the overview, not with the first load of a tablet. */

import type { Season } from "./contracts";
import { dayOn } from "./season-days";
import { seasonOn } from "./seasons";

/** Return the first and last day of the season that a day belongs to, today at the latest; null where there is none. */
export function spanOn(seasons: readonly Season[], day: string, today: string): { season: Season; first: string; last: string } | null {
  const season = seasonOn(seasons, day);
  if (season === null) return null;
  const next = seasons.map(({ opens_on }) => opens_on).filter((opens) => opens > season.opens_on && opens <= today).sort()[0];
  return { season, first: season.opens_on, last: next === undefined ? today : dayOn(next, -1) };
}

/** Return the season that begins first, where a day lies before it; null where the day may be looked at. */
export function beforeAll(seasons: readonly Season[], day: string, today: string): Season | null {
  const first = seasonOn(seasons, "");
  return first !== null && day < first.opens_on && day < today ? first : null;
}
