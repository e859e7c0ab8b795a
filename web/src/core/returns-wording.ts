/** The sentences on returns: trees that a crew must go over again by a day. */

import { stretch, trees } from "./counted";
import { t } from "./language";
import { count, weekdayText } from "./numbers";

export const AGAIN = {
  /** In place of "done", beside a row. */
  tally: (n: number) => t("{n} again", { n: count(n) }),
  /** On a row: what a tap on it says. */
  row: (n: number) => t("{trees} again: tap once they are gone over", { trees: trees(n) }),
  /** The same, where it is asked of other crews. */
  rowOf: (n: number, crews: string) => t("{trees} again, asked of {crews}: tap once they are gone over", { trees: trees(n), crews }),
  /** Its name, which holds the words that are seen on it. */
  rowLabel: (row: number, words: string) => t("Row {row}: {words}", { row, words }),
  /** What a crew that stops in mid-row is about to say. */
  choosing: (row: number, first: number, last: number, n: number) => t("Gone over again in row {row}, {part}: {trees}", { row, part: stretch(first, last), trees: trees(n) }),
  choosingToo: (n: number) => t("To go over again up to there: {trees}", { trees: trees(n) }),
  markIt: t("Mark gone over again"),
  marked: (row: number, parts: string, n: number) => t("Gone over again: row {row}, {parts}: {trees}.", { row, parts, trees: trees(n) }),
  undone: (row: number) => t("Taken back: row {row} is to be gone over again.", { row }),
  mark: (row: number, first: number, last: number) => t("Row {row}, {part}, gone over again", { row, part: stretch(first, last) }),
} as const;

/** Say how many trees of a block wait, until when and of which other crews it is asked, as far as that is known; nothing where none do. */
export function blockAgain(n: number, due: string | undefined, today: string, others = ""): string {
  if (n === 0) return "";
  const crews = others === "" ? "" : ` (${others})`;
  if (due === undefined) return t("again: {trees}", { trees: trees(n) }) + crews;
  const values = { trees: trees(n), day: weekdayText(due) };
  return (due < today ? t("again: {trees}, late: due {day}", values) : t("again: {trees} by {day}", values)) + crews;
}
