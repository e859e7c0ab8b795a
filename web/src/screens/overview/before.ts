/** The same calendar day of last season, in words. */

import { partOf, type Chosen, type Glance } from "../../core/glance";
import { GLANCE } from "../../core/glance-wording";
import { dayText } from "../../core/numbers";
import { prunedBy, yearBefore, type SeasonDays } from "../../core/season-days";

/** Return the sentence; empty while it is not known whether there was one. */
export function beforeWords(glance: Glance, chosen: Chosen, season: SeasonDays | null, before: SeasonDays | null): string {
  if (season === null) return "";
  if (season.before === null) return GLANCE.noBefore;
  if (before === null) return "";
  const { name } = before.season;
  if (before.days.length === 0) return GLANCE.nothingBefore(name);
  const day = yearBefore(glance.day);
  const done = [...prunedBy(before, day, partOf(glance.blocks, chosen)).values()].reduce((sum, n) => sum + n, 0);
  return chosen.crew === null ? GLANCE.before(name, dayText(day), done, glance.figures.trees) : GLANCE.ownBefore(name, dayText(day), Math.round(done));
}
