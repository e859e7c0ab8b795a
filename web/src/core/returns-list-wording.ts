/** The sentences of the list of what is to be gone over again; it is loaded where there is something. */

import { trees } from "./counted";
import { t } from "./language";
import { weekdayText } from "./numbers";

export const AGAIN_LIST = {
  title(n: number, due: string, today: string): string {
    const values = { trees: trees(n), day: weekdayText(due) };
    return due < today ? t("To go over again: {trees}, late: due {day}", values) : t("To go over again: {trees} by {day}", values);
  },
  of: (number: number, crew: string, n: number, due: string) =>
    t("Return {number}, {crew}: {trees} by {day}", { number, crew, trees: trees(n), day: weekdayText(due) }),
  late: t("Its day is over."),
  rows: (numbers: string) => t("Rows {numbers}. A tap on the mark under a row says that its trees are gone over again; drag the end of the row if you stopped on the way.", { numbers }),
  better: t("What to do better this time"),
} as const;
