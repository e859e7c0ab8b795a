/** How this tablet is held, looked at and spoken to: which hand, light or dark, which language. */

import { language } from "../../core/language";
import { languageName } from "../../core/language-names";
import { TABLET } from "../../core/rows-wording";
import { SHELL } from "../../core/wording";
import { LANGUAGES } from "../../data/catalogues";
import type { TabletMemory } from "../../data/tablet-memory";
import { h } from "../../ui/dom";
import { radioGroup } from "../../ui/field";
import type { Theme } from "../../ui/theme";
import type { Panel } from "./action-bar";

/** Return the panel; a choice holds at once, but for the language, with which the pages are loaded again. */
export function tabletPanel(memory: TabletMemory, theme: Theme, speak: (code: string) => void): Panel {
  const hand = radioGroup(
    TABLET.hand,
    [
      { value: "right", label: TABLET.right },
      { value: "left", label: TABLET.left },
    ],
    memory.hand(),
    (value) => {
      memory.setHand(value === "left" ? "left" : "right");
      theme.apply();
    },
  );
  const light = radioGroup(
    TABLET.light,
    [
      { value: "auto", label: TABLET.auto },
      { value: "day", label: TABLET.day },
      { value: "night", label: TABLET.night },
    ],
    memory.light(),
    (value) => {
      memory.setLight(value === "day" || value === "night" ? value : "auto");
      theme.apply();
    },
  );
  const spoken = radioGroup(
    SHELL.language,
    LANGUAGES.map((code) => ({ value: code, label: languageName(code) })),
    language(),
    speak,
  );
  return { box: h("div", { class: "tablet-panel" }, hand.box, light.box, spoken.box) };
}
