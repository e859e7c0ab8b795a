/** What a file says of its blocks that tells one from another, and finding blocks by these words. */

import type { PreviewFeature } from "./import-contracts";

const MOST_COLUMNS = 2;
const LONGEST = 60;
/** Code and name stand beside the words already, and areas are said in hectares. */
const SAID_ANYWAY = /^(code|block|name|ha|.*area.*|shape_.*)$/i;

function textOf(value: unknown): string {
  return typeof value === "string" ? value.trim() : typeof value === "number" && Number.isInteger(value) ? String(value) : "";
}

/** Return how much a column tells, in bits: nothing where all say the same. */
function bits(texts: readonly string[]): number {
  const counts = new Map<string, number>();
  for (const text of texts) counts.set(text, (counts.get(text) ?? 0) + 1);
  return [...counts.values()].reduce((sum, n) => sum - (n / texts.length) * Math.log2(n / texts.length), 0);
}

/** Return up to two columns of a file that tell its blocks apart best: words before numbers, and none that is the name itself. */
export function tellingColumns(features: readonly PreviewFeature[]): string[] {
  const keys = [...new Set(features.flatMap(({ properties }) => Object.keys(properties)))].filter((key) => !SAID_ANYWAY.test(key));
  const found = keys.flatMap((key) => {
    const texts = features.map(({ properties }) => textOf(properties[key]));
    const filled = texts.filter((text) => text !== "");
    const isName = features.every(({ name }, at) => texts[at] === "" || texts[at] === name);
    if (new Set(filled).size < 2 || isName || filled.some((text) => text.length > LONGEST)) return [];
    const wordy = 2 * filled.filter((text) => /\p{L}{2}/u.test(text)).length > filled.length;
    return [{ key, wordy, bits: bits(texts) }];
  });
  found.sort((one, two) => Number(two.wordy) - Number(one.wordy) || two.bits - one.bits);
  return found.slice(0, MOST_COLUMNS).map(({ key }) => key);
}

/** Return what those columns say of a block; a number carries the column's name, for by itself it tells nothing. */
export function ownWords({ properties }: PreviewFeature, columns: readonly string[]): string[] {
  return columns.flatMap((key) => {
    const text = textOf(properties[key]);
    return text === "" ? [] : [/\p{L}/u.test(text) ? text : `${key} ${text}`];
  });
}

/** Tell whether each typed word begins, ends or stands within one of the texts; accents and capitals make no difference. */
export function holdsWords(texts: readonly string[], typed: string): boolean {
  const plain = (text: string): string => text.normalize("NFD").replace(/\p{M}/gu, "").toLowerCase();
  const all = plain(texts.join(" "));
  return plain(typed).split(/\s+/).every((word) => all.includes(word));
}
