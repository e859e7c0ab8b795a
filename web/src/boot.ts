/** Learns which language is spoken here before anything else is read: the sentences of the screens are read with their modules. */

import { languageFor, speak } from "./core/language";
import { catalogueOf, LANGUAGES } from "./data/catalogues";
import { deviceOf } from "./data/device";
import { headStart } from "./data/head-start";
import { tabletMemoryOf } from "./data/tablet-memory";

async function begin(): Promise<void> {
  headStart.begin(location.pathname, location.search, deviceOf(window.localStorage, window.sessionStorage).get("farm"));
  const chosen = tabletMemoryOf(window.localStorage).language();
  const code = languageFor(chosen, navigator.languages, LANGUAGES);
  const catalogue = await catalogueOf(code);
  // a catalogue that did not come leaves the pages in English: they work all the same
  if (catalogue !== null) speak(code, catalogue.entries, catalogue.form);
  document.documentElement.lang = catalogue === null ? "en" : code;
  await import("./main");
}

// not awaited here: main imports what this file is built into, and would wait for it as it waits for main
void begin();
