/** Speaking the language of a brief on pages that speak another one. */

import { language, speak, type Catalogue } from "../../core/language";
import { catalogueOf, LANGUAGES } from "../../data/catalogues";

export interface Speaker {
  /** ISO 639-1 code of the language spoken. */
  code: string;
  /** Make something whose sentences are in that language; at once, for the pages speak their own one again after it. */
  say<Made>(make: () => Made): Made;
}

/** A service that hangs keeps nobody from the rows. */
export const LIMIT_MS = 2_000;

/** Return who speaks a language; where its sentences are not to be had, or not soon, the pages' own one is spoken. */
export async function speakerOf(code: string, fetched = catalogueOf): Promise<Speaker> {
  const own = language();
  const pages: Speaker = { code: own, say: (make) => make() };
  if (code === own || !LANGUAGES.includes(code)) return pages;
  const late = new Promise<null>((end) => setTimeout(end, LIMIT_MS, null));
  const found = await Promise.race([Promise.all([fetched(own), fetched(code)]), late]);
  if (found === null) return pages;
  const [mine, theirs] = found;
  if ((own !== "en" && mine === null) || (code !== "en" && theirs === null)) return pages;
  const turnTo = (to: string, of: { entries: Catalogue; form(n: number): number } | null): void => speak(to, of?.entries ?? {}, of?.form);
  return {
    code,
    say(make) {
      turnTo(code, theirs);
      try {
        return make();
      } finally {
        turnTo(own, mine);
      }
    },
  };
}
