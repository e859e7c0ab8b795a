/** The sentences of what is printed. */

import { rows } from "./counted";
import { t } from "./language";

export const PAPER = {
  title: t("Print"),
  lead: (day: string) => t("PDF as of {day}, black-and-white safe. Print at 100 %, or the scale of the map is not true.", { day }),
  wait: t("Each is made when you ask for it. Until it is ready its tab stays empty: some seconds, on a farm of hundreds of blocks up to half a minute."),
  wallMap: (size: string) => t("Wall map, {size}", { size }),
  weekly: t("Weekly report"),
  block: t("Block"),
  blockLine: (code: string, n: number) => `${code}, ${rows(n)}`,
  crewSheet: t("Crew sheet"),
  onlyLeft: t("Crew sheet, only rows that are left"),
  blockMap: t("Map of the block"),
  opens: t("opens in a tab of its own"),
} as const;
