/** How this tablet is held and looked at: which hand, light or dark, and its crew's language. */

import { LANGUAGES, languageName } from "../../core/language-names";
import { TABLET } from "../../core/rows-wording";
import type { TabletMemory } from "../../data/tablet-memory";
import { h } from "../../ui/dom";
import { radioGroup } from "../../ui/field";
import type { Theme } from "../../ui/theme";
import type { Panel } from "./action-bar";

/** Return the panel; a choice holds at once. */
export function tabletPanel(memory: TabletMemory, theme: Theme): Panel {
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
  const languages = LANGUAGES.map((value) => ({ value, label: languageName(value) }));
  const language = radioGroup(TABLET.language, languages, memory.language(), (value) => memory.setLanguage(value));
  return { box: h("div", { class: "tablet-panel" }, hand.box, light.box, language.box) };
}
