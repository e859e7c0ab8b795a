/** The languages there is a catalogue for. Each is a file of its own, fetched when it is spoken, and kept for days without a signal. */

import type { Catalogue } from "../core/language";

interface CatalogueModule {
  entries: Catalogue;
  form(n: number): number;
}

const FILES = import.meta.glob<CatalogueModule>("../../locale/*.po");
const codeOf = (path: string): string => path.replace(/^.*\/|\.po$/g, "");

/** ISO 639-1 codes of the languages that can be spoken, English first. */
export const LANGUAGES: readonly string[] = ["en", ...Object.keys(FILES).map(codeOf).sort()];

/** Fetch the catalogue of a language; null for English, which stands in the code, or when it did not come. */
export async function catalogueOf(code: string): Promise<CatalogueModule | null> {
  const load = Object.entries(FILES).find(([path]) => codeOf(path) === code)?.[1];
  return load === undefined ? null : load().catch(() => null);
}
