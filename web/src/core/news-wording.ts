/** What is said of newer work where it is not drawn by itself. */

import { t, tn } from "./language";

export const NEWS = {
  newer: (n: number) =>
    n === 0 ? t("What stands here may have changed since it was read.") : tn("{n} new record since this was read.", "{n} new records since this was read.", n),
  readAgain: t("Read again"),
};
