/** The sentences of row-end labels, and which of them an address calls for. */

import { rows } from "./counted";
import { t } from "./language";
import { count } from "./numbers";

/** Tell whether an address of the service means the very machine that reads it: on a tablet it leads nowhere. */
export function isHereOnly(address: string): boolean {
  return /^https?:\/\/(?:localhost|127(?:\.\d{1,3}){3}|\[::1\])(?::\d+)?\/?$/i.test(address.trim());
}

export const LABELS = {
  title: t("Labels for the ends of rows"),
  lead: t("A label carries block, row and a code: a tablet that reads it opens that row. Print the PDF at 100 %."),
  noBlocks: t("No block yet: load blocks above, then make their labels here."),
  block: t("Block"),
  blockLine: (code: string, name: string, n: number) => `${code}${name === code || name === "" ? "" : ` ${name}`}, ${rows(n)}`,
  allBlocks: (n: number) => t("all {n} blocks, a file for each", { n: count(n) }),
  rows: t("Rows"),
  rowsHint: t("Such as 1-20, or 3,7-9; empty for all."),
  ends: t("Ends"),
  endsOf: { both: t("both ends"), first: t("where position 1 is"), far: t("the far end") },
  address: t("Address that tablets use"),
  addressHint: t("It stands in every code: as tablets reach this service, such as https://orchard.lan:8420."),
  noAddress: t("Give the address."),
  make: t("Make the labels"),
  making: t("Making them…"),
  makingOf: (code: string, at: number, n: number) => t("Making them: block {code}, {at} of {n}…", { code, at, n }),
  stoppedAt: (code: string, at: number, words: string) =>
    t("Stopped at block {code}, {at} files are saved. {words}", { code, at, words }),
  allMade: (n: number) => t("{n} files are saved.", { n: count(n) }),
  allHereOnly: (n: number) =>
    t("{n} files are saved. Their codes lead to this machine alone: for tablets make them again with the address that they use.", {
      n: count(n),
    }),
  made: (file: string) => t("{file} is saved.", { file }),
  hereOnly: (file: string) =>
    t("{file} is saved. Its codes lead to this machine alone: for tablets make them again with the address that they use.", { file }),
  fileName: (code: string) => t("labels-{code}.pdf", { code: code.replace(/[^\p{L}\p{N}.-]+/gu, "-") }),
} as const;
