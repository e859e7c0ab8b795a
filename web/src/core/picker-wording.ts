/** The sentences of the list that one picks a block from. */

import { t } from "./language";

export const PICKER = {
  take: t("Take it along"),
  takeLabel: (code: string) => t("Take it along: {code}", { code }),
  taking: (code: string) => t("Fetching {code}: rows, marks and checks…", { code }),
  taken: (moment: string) => t("On this device, as of {moment}. It opens without a signal.", { moment }),
  notTaken: (code: string, why: string) => t("{code} could not be fetched. {why}", { code, why }),
} as const;
