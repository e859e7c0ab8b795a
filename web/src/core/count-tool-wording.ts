/** The words of the way to the counting of trees; they stand on screens that are loaded before it. */

import { t } from "./language";

export const COUNT_TOOL = t("Count trees");
