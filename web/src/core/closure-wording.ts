/** Words of closing a block for a time. */

import { t } from "./language";

export const CLOSURE = {
  title: t("Closed for a time"),
  what: t("Nobody is to work in it until then: tablets say so, and marks made meanwhile are set aside. How long after spraying, the label and local law say."),
  none: t("It is open, and nothing is planned."),
  span: (from: string, until: string, reason: string) => t("{from} to {until}: {reason}", { from, until, reason }),
  from: t("From"),
  until: t("Until"),
  why: t("Why"),
  whyHint: t("As the crews will read it: sprayed, felling, soft ground."),
  close: t("Close the block"),
  openNow: t("Open it now"),
  takeBack: t("Take it back"),
  openLabel: (word: string, span: string) => t("{word}: {span}", { word, span }),
  missing: t("Enter a day and an hour."),
  noReason: t("Say why, in a word or two."),
  closed: (code: string, until: string) => t("{code} is closed until {until}.", { code, until }),
  opened: (code: string) => t("{code}: the closure has ended.", { code }),
};
