/** Every sentence of the brief card on the tablet, beside those that the brief itself brings; read anew by each card, in its language. */

import type { PointClass } from "./brief-contracts";
import type { BriefPart } from "./brief-reading";
import { language, t, tn } from "./language";

export const briefWords = () => ({
  title: (block: string) => t("Before you start in {block}", { block }),
  opened: t("Pruning brief"),
  first: (version: number, day: string) => t("Version {version} of {day}: new on this tablet. Read it through.", { version, day }),
  newer: (day: string) => t("New version of {day}. What changed:", { day }),
  same: (version: number, day: string) => t("Nothing has changed since {day} (version {version}).", { version, day }),
  version: (version: number, day: string) => t("Version {version} of {day}.", { version, day }),
  none: t("No brief is published for this block yet. Ask the manager or the adviser what its trees need before you cut."),
  unknown: t("The brief of this block is not on this tablet, and the service does not answer. Ask what its trees need before you cut."),
  changedPoints: (n: number) => tn("1 point; it is marked “changed”.", "{n} points; they are marked “changed”.", n),
  changed: t("changed"),
  gone: (sentence: string) => t("No longer in it: “{sentence}”", { sentence }),
  language: t("Language"),
  hazards: t("In this block"),
  target: t("To leave on an average tree"),
  notes: t("Notes"),
  cautions: t("Work safely"),
  checked: t("checked"),
  taught: t("taught"),
  meanwhile: t("A new version of the brief is here: “Brief” shows what changed."),
  danger: t("A new warning for this block is here: read it under “Brief”."),
  isNew: t("new"),
  whole: t("The whole brief"),
  readFirst: t("Read “Before you start” first; then rows can be marked."),
  read: t("Read"),
  back: t("Back to the rows"),
  part: {
    order: t("The order of the points."),
    target: t("What to leave on an average tree."),
    notes: t("The notes."),
    cautions: t("The cautions."),
  } satisfies Record<BriefPart, string>,
  pointClass: {
    critical: t("critical"),
    major: t("major"),
    minor: t("minor"),
  } satisfies Record<PointClass, string>,
  /** Number and what it counts, most to the hand first. */
  targets: [
    ["buds_per_limb", t("buds on each limb")],
    ["buds_per_tree", t("buds on the tree")],
    ["limbs_per_tree", t("limbs on the tree")],
    ["fruit_per_tree", t("apples on the tree")],
  ] as const,
  day: dayOf(),
  number: numberOf(),
});
export type BriefWords = ReturnType<typeof briefWords>;

const locale = (): string => (language() === "en" ? "en-GB" : language());

/** As `dayText`, whose language is settled with the page's. */
function dayOf(): (isoDay: string) => string {
  const days = new Intl.DateTimeFormat(locale(), { day: "numeric", month: "short", year: "numeric", timeZone: "UTC" });
  return (isoDay) => days.format(new Date(`${isoDay}T00:00:00Z`));
}

/** As `measure`. */
function numberOf(): (value: number) => string {
  const numbers = new Intl.NumberFormat(locale(), { maximumFractionDigits: 1, useGrouping: true });
  return (value) => numbers.format(value);
}
