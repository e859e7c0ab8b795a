/** The sentences of row-end labels, and which of them an address calls for. */

/** Tell whether an address of the service means the very machine that reads it: on a tablet it leads nowhere. */
export function isHereOnly(address: string): boolean {
  return /^https?:\/\/(?:localhost|127(?:\.\d{1,3}){3}|\[::1\])(?::\d+)?\/?$/i.test(address.trim());
}

export const LABELS = {
  title: "Labels for the ends of rows",
  lead: "A label carries block, row and a code: a tablet that reads it opens that row. Print the PDF at 100 %.",
  noBlocks: "No block yet: load blocks above, then make their labels here.",
  block: "Block",
  blockLine: (code: string, name: string, rows: number) => `${code}${name === code || name === "" ? "" : ` ${name}`}, ${rows} ${rows === 1 ? "row" : "rows"}`,
  rows: "Rows",
  rowsHint: "Such as 1-20, or 3,7-9; empty for all.",
  ends: "Ends",
  endsOf: { both: "both ends", first: "where position 1 is", far: "the far end" },
  address: "Address that tablets use",
  addressHint: "It stands in every code: as tablets reach this service, such as https://orchard.lan:8420.",
  noAddress: "Give the address.",
  make: "Make the labels",
  making: "Making them…",
  made: (file: string) => `${file} is saved.`,
  hereOnly: (file: string) =>
    `${file} is saved. Its codes lead to this machine alone: for tablets make them again with the address that they use.`,
  fileName: (code: string) => `labels-${code.replace(/[^\p{L}\p{N}.-]+/gu, "-")}.pdf`,
} as const;
