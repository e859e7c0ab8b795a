/** The three figures of the top line, each with its words. */

import type { Figures, Season } from "../../core/contracts";
import type { Glance } from "../../core/glance";
import { GLANCE } from "../../core/glance-wording";
import { count, dayText, percent } from "../../core/numbers";
import { OVERVIEW } from "../../core/overview-wording";
import { h } from "../../ui/dom";

/** Return what is looked at beside the number: the blocks of one variety, a day that is over. */
function of(label: string, { variety, day, otherSeason }: FiguresTold): string {
  return [label, variety, day, otherSeason].filter((said) => said !== "").join(" \u00b7 ");
}

function figure(large: string, ...lines: string[]): HTMLElement {
  const said = lines.filter((line) => line !== "");
  const first = said[0] ?? "";
  return h(
    "div",
    { class: "figure" },
    h("p", { class: "figure-large" }, h("span", { class: "figure-number" }, large), " ", first),
    h("p", { class: "figure-words" }, said.slice(1).join(" ")),
  );
}

/** What the three figures are told of. */
export interface FiguresTold {
  glance: Glance;
  season: Season | null;
  /** The chosen crew's name; empty where none is chosen. */
  crew: string;
  /** The chosen variety; empty where none is. */
  variety: string;
  /** The day in words where it is not today; else empty. */
  day: string;
  /** The day passes by: what only the service knows of it is not there yet. */
  passes: boolean;
  /** The last day on which anything of it was pruned; null where it is not known. */
  lastWorked: string | null;
  /** The season's name where it is not today's; else empty. */
  otherSeason: string;
  /** The same day of last season, in words. */
  before: string;
}

function prunedFigure(told: FiguresTold): HTMLElement {
  const { crew, passes, before } = told;
  const { figures, blocks, own } = told.glance;
  const { pruned, trees, rows, rows_done } = figures;
  if (blocks.length === 0) return figure("0", of(crew === "" ? OVERVIEW.pruned : GLANCE.prunedBy(0, crew), told), OVERVIEW.nothingChosen);
  if (own !== null) {
    const mine = Math.round([...own.values()].reduce((sum, n) => sum + n, 0));
    return figure(count(mine), of(GLANCE.prunedBy(mine, crew), told), GLANCE.ofBlocks(pruned, trees, blocks.length), before);
  }
  return figure(percent(pruned, trees), of(OVERVIEW.pruned, told), OVERVIEW.prunedOf(pruned, trees), passes ? "" : OVERVIEW.rowsDone(rows_done, rows), before);
}

function leftFigure({ glance: { day, figures, blocks, own }, season, passes, lastWorked }: FiguresTold): HTMLElement {
  const { trees_left, working_days_left, needed_per_day, recent_per_day, recent_days } = figures;
  const hasPace = recent_per_day !== null && recent_per_day > 0;
  const large = count(trees_left);
  if (blocks.length === 0) return figure(large, OVERVIEW.left(0), OVERVIEW.nothingChosen);
  if (season === null) return figure(large, OVERVIEW.left(trees_left), OVERVIEW.noSeason);
  const ended = figures.season_ended_on ?? null;
  const over = ended === null ? "" : OVERVIEW.ended(season.name, ended);
  if (trees_left === 0) return figure(large, OVERVIEW.left(0), OVERVIEW.nothingLeft, lastWorked === null ? "" : OVERVIEW.lastTree(lastWorked), over);
  if (over !== "") return figure(large, OVERVIEW.left(trees_left), over);
  const date = dayText(season.must_finish_on);
  const ownPace = own !== null && hasPace ? GLANCE.ownPace(recent_per_day, recent_days) : "";
  if (passes) return figure(large, OVERVIEW.left(trees_left), OVERVIEW.toDate(null, date), own === null && hasPace ? OVERVIEW.recent(recent_per_day, recent_days) : ownPace);
  const until = day > season.must_finish_on ? OVERVIEW.mustHave(date) : OVERVIEW.toDate(working_days_left, date);
  if (own !== null) return figure(large, OVERVIEW.left(trees_left), until, ownPace);
  return figure(
    large,
    OVERVIEW.left(trees_left),
    until,
    ...(needed_per_day !== null && hasPace
      ? [OVERVIEW.pace(recent_per_day, needed_per_day, recent_days)]
      : [
          needed_per_day === null ? "" : OVERVIEW.needs(needed_per_day),
          hasPace ? OVERVIEW.recent(recent_per_day, recent_days) : OVERVIEW.noRecent,
        ]),
  );
}

function checkedFigure({ checked, meets, minor, faulty, gone_over = 0, lots }: Figures, { passes, glance: { blocks } }: FiguresTold): HTMLElement {
  if (blocks.length === 0) return figure("0", OVERVIEW.treesChecked(0), OVERVIEW.nothingChosen);
  if (passes) return figure("…", OVERVIEW.meet, GLANCE.atRest);
  if (checked === 0) return figure("0", OVERVIEW.treesChecked(0), OVERVIEW.noChecks);
  // what was gone over since its check is neither good nor bad until it is looked at again
  const looked = checked - gone_over;
  return figure(percent(meets, looked), OVERVIEW.meet, OVERVIEW.looked(meets, looked, minor, faulty), OVERVIEW.verdicts(lots));
}

/** Return the three figures; `finish` is given the words that a forecast may replace. */
export function figures(told: FiguresTold, finish: (words: HTMLElement) => void): HTMLElement[] {
  const { glance, season, passes } = told;
  const left = leftFigure(told);
  const words = left.querySelector<HTMLElement>(".figure-words");
  if (words !== null && season !== null && glance.figures.trees_left > 0 && glance.figures.season_ended_on == null && !passes) finish(words);
  return [prunedFigure(told), left, checkedFigure(glance.figures, told)];
}
