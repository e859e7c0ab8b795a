/** What the overview says of the weather. */

import { t, tn } from "./language";
import { dayText } from "./numbers";

export const WEATHER_NEEDS = {
  /** Green tip has no day of its own, a frost ahead no blocks. */
  line: (title: string, day: string, blocks: string, more: number) => {
    const where = more === 0 ? blocks : tn("{blocks} and {n} more", "{blocks} and {n} more", more, { blocks });
    const head = day === "" ? title : t("{title}, {day}", { title, day });
    return where === "" ? t("{head}.", { head }) : t("{head}. Blocks: {where}.", { head, where });
  },
  /** A day with how long ago it was, where it is past. */
  day: (day: string, daysAgo: number) => (daysAgo <= 0 ? dayText(day) : tn("yesterday, {day}", "{n} days ago, {day}", daysAgo, { day: dayText(day) })),
  see: t("See Timing"),
} as const;
