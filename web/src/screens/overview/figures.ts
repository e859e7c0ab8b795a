/** The three figures of the top line, each with its words. */

import type { Figures, Season } from "../../core/contracts";
import { count, dayText, percent } from "../../core/numbers";
import { OVERVIEW } from "../../core/overview-wording";
import { h } from "../../ui/dom";

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

function prunedFigure({ pruned, trees, rows, rows_done }: Figures): HTMLElement {
  return figure(percent(pruned, trees), OVERVIEW.pruned, OVERVIEW.prunedOf(pruned, trees), OVERVIEW.rowsDone(rows_done, rows));
}

function leftFigure(figures: Figures, season: Season | null): HTMLElement {
  const { trees_left, working_days_left, needed_per_day, recent_per_day, recent_days } = figures;
  const hasPace = recent_per_day !== null && recent_per_day > 0;
  const large = count(trees_left);
  if (season === null) return figure(large, OVERVIEW.left(trees_left), OVERVIEW.noSeason);
  if (trees_left === 0) return figure(large, OVERVIEW.left(0), OVERVIEW.nothingLeft);
  return figure(
    large,
    OVERVIEW.left(trees_left),
    OVERVIEW.toDate(working_days_left, dayText(season.must_finish_on)),
    ...(needed_per_day !== null && hasPace
      ? [OVERVIEW.pace(recent_per_day, needed_per_day, recent_days)]
      : [
          needed_per_day === null ? "" : OVERVIEW.needs(needed_per_day),
          hasPace ? OVERVIEW.recent(recent_per_day, recent_days) : OVERVIEW.noRecent,
        ]),
  );
}

function checkedFigure({ checked, meets, minor, faulty, gone_over = 0, lots }: Figures): HTMLElement {
  if (checked === 0) return figure("0", OVERVIEW.treesChecked(0), OVERVIEW.noChecks);
  // what was gone over since its check is neither good nor bad until it is looked at again
  const looked = checked - gone_over;
  return figure(percent(meets, looked), OVERVIEW.meet, OVERVIEW.looked(meets, looked, minor, faulty), OVERVIEW.verdicts(lots));
}

/** Return the top line; `day` is the field that says of which day, and `finish` is given the words that a forecast may replace. */
export function figures(values: Figures, season: Season | null, day: HTMLElement, finish: (words: HTMLElement) => void): HTMLElement {
  const left = leftFigure(values, season);
  const words = left.querySelector<HTMLElement>(".figure-words");
  if (words !== null && season !== null && values.trees_left > 0) finish(words);
  return h("div", { class: "figures" }, prunedFigure(values), left, checkedFigure(values), day);
}
