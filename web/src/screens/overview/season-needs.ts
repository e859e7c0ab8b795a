/** What a season that is over asks of a manager: to open the next one, unless it is there already. */

import type { Farm } from "../../core/contracts";
import { OVERVIEW } from "../../core/overview-wording";
import type { Looked } from "./needs-you";
import type { Need } from "./quality-needs";

/** Return the line; nothing while the season goes on. */
export function seasonNeeds({ figures, day }: Pick<Looked, "figures" | "day">, farm: Pick<Farm, "season" | "seasons" | "today">): Need[] {
  const ended = figures.season_ended_on ?? null;
  if (ended === null || farm.season === null || day !== farm.today) return [];
  const [next] = farm.seasons.filter(({ opens_on }) => opens_on > day).sort((a, b) => (a.opens_on < b.opens_on ? -1 : 1));
  const toSetUp = { screen: "set-up", block: null } as const;
  if (next !== undefined) return [{ text: OVERVIEW.nextOpens(farm.season.name, ended, next.name, next.opens_on), to: [] }];
  return [{ text: OVERVIEW.seasonOver(farm.season.name, ended), to: [{ text: OVERVIEW.openNext, to: toSetUp, isMain: true }] }];
}
