/** The sentences of the screen on which farms stand side by side. */

import { t } from "./language";
import { count, inHundred, measure, weekdayText } from "./numbers";

/** A share as whole hundredths: bounds of a handful of trees are no sharper. */
const hundredths = (share: number): string => count(100 * share);

export const FARMS = {
  title: t("Farms side by side"),
  lead: t("The farms that you manage or advise, as they stand now. Nobody of one farm sees another one here."),
  caution: t(
    "Look for reasons and not for ranks: faulty is what each farm's own brief and auditors call so, and pace hangs on size, spacing and training of the trees. The two shares in brackets hold the true one 95 times in 100.",
  ),
  offline: t("Farms are put side by side by the service, and that needs a connection."),
  onlyOne: t("There is one farm here that you manage or advise. A manager of another farm can make you its adviser, under People there."),
  standing: t("How far each is"),
  varieties: t("By variety"),
  varietiesLead: t("Varieties that grow on more than one farm stand first."),
  weeks: t("Week by week"),
  weeksLead: t("Weeks begin on a Monday, the newest stands first. A check counts in the week in which it was made."),
  which: t("Variety"),
  all: t("All varieties"),
  unnamed: t("No variety named"),
  nothing: t("Nothing was pruned yet on any of them."),
  noSeason: t("no season yet"),
  none: t("none yet"),
  noDay: t("no day in sight"),
  csv: t("Save as CSV"),
  csvOf: (table: string) => t("Save as CSV: {table}", { table }),
  columns: {
    farm: t("Farm"),
    pruned: t("Pruned"),
    finish: t("Likely finished"),
    must: t("Must finish"),
    pace: t("Trees per person-hour"),
    faulty: t("Faulty when first checked"),
    lots: t("Blocks accepted"),
    variety: t("Variety"),
    week: t("Week of"),
    trees: t("Trees"),
  },
  pruned: (pruned: number, trees: number, share: string) =>
    t("{pruned} of {trees} ({share})", { pruned: count(pruned), trees: count(trees), share }),
  finish: (likely: string, late: string | null) =>
    late === null ? t("{likely}, 9 in 10 by no day that can be told", { likely: weekdayText(likely) }) : t("{likely}, 9 in 10 by {late}", { likely: weekdayText(likely), late: weekdayText(late) }),
  pace: (trees_per_h: number | null) => (trees_per_h === null ? t("no hours") : measure(trees_per_h)),
  faulty: (faulty: number, checked: number, [low, high]: readonly [number, number]) =>
    t("{faulty} of {checked} ({low} to {high})", { faulty: count(faulty), checked: count(checked), low: hundredths(low), high: inHundred(Math.round(100 * high) / 100) }),
  unchecked: t("not checked"),
  /** As the Overview counts them: of all blocks with checks, those accepted in part by themselves. */
  lots: (accepted: number, inPart: number, all: number) => {
    const words = t("{accepted} of {all}", { accepted: count(accepted), all: count(all) });
    return inPart === 0 ? words : `${words}, ${t("{n} in part", { n: count(inPart) })}`;
  },
} as const;
