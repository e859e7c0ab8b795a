/** The words that lead to the screens one may go to. */

import type { FarmScreen, Place } from "../../core/place";
import { inLineAndMore } from "../../core/who";
import { SCREEN_WORD, SHELL } from "../../core/wording";
import { h } from "../../ui/dom";
import { placeLink } from "../place-link";

/** Return the navigation. */
export function navigation(place: Place, screens: readonly FarmScreen[], go: (to: Place) => void): HTMLElement {
  const link = (screen: FarmScreen): HTMLElement => {
    const to: Place = { screen, block: screen === "rows" || screen === "checks" ? place.block : null };
    return placeLink(to, SCREEN_WORD[screen], go, { class: "nav-word", "aria-current": screen === place.screen ? "page" : null });
  };
  const { inLine, more } = inLineAndMore(screens);
  return h("nav", { "aria-label": SHELL.screens }, ...inLine.map(link), more.length === 0 ? null : moreOf(more.map(link), more.find((screen) => screen === place.screen)));
}

/** What is wanted seldom stands behind one word, which is that of the screen one is on. */
function moreOf(links: readonly HTMLElement[], here: FarmScreen | undefined): HTMLElement {
  const word = h("summary", { class: "nav-word", "data-here": here ?? null }, here === undefined ? SHELL.more : SCREEN_WORD[here]);
  const box = h(
    "details",
    {
      class: "nav-more",
      on: {
        focusout: (event: FocusEvent) => {
          if (event.relatedTarget instanceof Node && !box.contains(event.relatedTarget)) box.open = false;
        },
        keydown: (event: KeyboardEvent) => {
          if (event.key !== "Escape") return;
          box.open = false;
          word.focus();
        },
      },
    },
    word,
    h("div", {}, ...links),
  );
  return box;
}
