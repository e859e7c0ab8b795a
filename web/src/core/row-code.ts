/**
 * What a row-end code says: `<origin>/R/<block code>/<row>`, or the address of the row in these pages.
 *
 * The letters may come back as capitals, because a code of capitals is smaller; so block codes are compared without case.
 */

export interface RowCode {
  /** A block's code as people know it, or its id. */
  block: string;
  row: number;
}

const LABEL = /(?:^|\/)R\/([^/?#]+)\/(\d{1,5})\/?$/i;

function decoded(text: string): string | null {
  try {
    return decodeURIComponent(text);
  } catch {
    return null;
  }
}

/** Return the block and row that a scanned or typed text names; null when it is no row-end code. */
export function rowCodeOf(text: string): RowCode | null {
  const clean = text.trim();
  const label = LABEL.exec(clean);
  if (label?.[1] !== undefined) {
    const block = decoded(label[1]);
    return block === null ? null : { block, row: Number(label[2]) };
  }
  if (!/(?:^|\/)rows\?/i.test(clean)) return null;
  const block = /[?&]block=([^&#]+)/i.exec(clean)?.[1];
  const row = /[?&]row=(\d{1,5})(?:&|#|$)/i.exec(clean)?.[1];
  const name = block === undefined ? null : decoded(block);
  return name === null || row === undefined ? null : { block: name, row: Number(row) };
}

/** Return the block that a code names among `blocks`, by id or by its code in any case; null when none or several do. */
export function blockOfCode<Block extends { id: string; code: string }>(
  name: string,
  blocks: readonly Block[],
): Block | null {
  const plain = (text: string): string => text.normalize("NFC").toUpperCase();
  const byId = blocks.find(({ id }) => plain(id) === plain(name));
  if (byId !== undefined) return byId;
  const exact = blocks.filter(({ code }) => code === name);
  const alike = exact.length > 0 ? exact : blocks.filter(({ code }) => plain(code) === plain(name));
  return alike.length === 1 ? (alike[0] ?? null) : null;
}
