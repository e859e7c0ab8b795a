/** The answer to "when will it be finished": one sentence with its days, on the overview and on the screen of the forecast. */

import type { Forecast } from "./forecast-contracts";
import { t, tn } from "./language";
import { inHundred, weekdayText } from "./numbers";

/** On the overview, beside the trees that are left. */
export const FINISH = {
  notYet: t("No finish forecast yet: see what is missing."),
  noAnswer: t("See the finish forecast."),
} as const;
export type FinishTold = Pick<Forecast, "finish" | "chance" | "short_people" | "must_finish_on" | "missing"> & { trees_left?: number };

/** Say whether it is made with 9 in 10, and how many people it is short of. */
export function shortWords(people: number | null): string {
  if (people === 0) return t("in time 9 times in 10");
  return people === null ? t("no number of people makes it") : tn("short by {n} person for 9 in 10", "short by {n} people for 9 in 10", people);
}

/** Return the sentence; null where nothing can be forecast. */
export function answerWords({ finish, short_people, must_finish_on, trees_left }: FinishTold): string | null {
  if (finish === null || must_finish_on === null) return null;
  const must = weekdayText(must_finish_on);
  const { p50, p90 } = finish;
  if (trees_left === 0 && p50 !== null) return t("Finished on {day}; it had to be by {must}.", { day: weekdayText(p50), must });
  const short = shortWords(short_people);
  if (p50 === null) return t("Finished on no day that can be told; must finish {must}: {short}.", { must, short });
  const likely = weekdayText(p50);
  if (p90 === null) return t("Likely {likely}, 9 in 10 by no day that can be told; must finish {must}: {short}.", { likely, must, short });
  return t("Likely {likely}, 9 in 10 by {late}; must finish {must}: {short}.", { likely, late: weekdayText(p90), must, short });
}

/** Return a chance as so many of a hundred, a part of one left out: what is short of 9 in 10 never reads as 90. */
export function wholeHundredths(chance: number): number {
  return Math.floor(100 * chance + 1e-9);
}

/** Say a chance in hundredths, as figures stand in tables. */
export function chanceText(chance: number): string {
  if (chance > 0.99) return t("over {share}", { share: inHundred(0.99) });
  return chance < 0.01 ? t("under {share}", { share: inHundred(0.01) }) : inHundred(wholeHundredths(chance) / 100);
}
