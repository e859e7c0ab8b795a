/** What the overview says of the weather. */

import { t, tn } from "./language";

export const WEATHER_NEEDS = {
  /** Green tip has no day of its own, a frost ahead no blocks. */
  line: (title: string, day: string, blocks: string, more: number) => {
    const where = more === 0 ? blocks : tn("{blocks} and {n} more", "{blocks} and {n} more", more, { blocks });
    const head = day === "" ? title : t("{title}, {day}", { title, day });
    return where === "" ? t("{head}.", { head }) : t("{head}. Blocks: {where}.", { head, where });
  },
  see: t("See Timing"),
} as const;
