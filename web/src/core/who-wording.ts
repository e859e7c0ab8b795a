/** The sentences about who is here, and in which role. */

import type { Access } from "./contracts";
import { t } from "./language";

export const ACCESS: Record<Access, string> = { manager: t("manager"), foreman: t("foreman"), auditor: t("auditor"), adviser: t("adviser") };
/** What an account of a role is for, in one line. */
export const ACCESS_FOR: Record<Access, string> = {
  manager: t("Sees and sets up everything, settles, pairs tablets."),
  foreman: t("Marks the rows of one crew."),
  auditor: t("Records checks, sees the map."),
  adviser: t("Writes the briefs, sees the map and the figures."),
};

/** What the frame says of who is here. */
export const HERE = {
  anotherFarm: t("Make another farm"),
  noFarm: t("No farm yet."),
  account: t("Your account, and signing out"),
  change: t("Somebody else takes the tablet"),
  tablet: (tablet: string, holder: string | null) => (holder === null || holder === "" ? tablet : `${tablet}: ${holder}`),
} as const;
