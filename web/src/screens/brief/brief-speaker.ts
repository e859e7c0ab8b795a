/** Speaking the language of a brief on pages that speak another one. */

import { language, speak, type Catalogue } from "../../core/language";
import { catalogueOf, LANGUAGES } from "../../data/catalogues";

export interface Speaker {
  /** ISO 639-1 code of the language spoken. */
  code: string;
  /** Make something whose sentences are in that language; at once, for the pages speak their own one again after it. */
  say<Made>(make: () => Made): Made;
}

/** Return who speaks a language; where its sentences are not to be had, the pages' own one is spoken. */
export async function speakerOf(code: string): Promise<Speaker> {
  const own = language();
  const pages: Speaker = { code: own, say: (make) => make() };
  if (code === own || !LANGUAGES.includes(code)) return pages;
  const [mine, theirs] = await Promise.all([catalogueOf(own), catalogueOf(code)]);
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
