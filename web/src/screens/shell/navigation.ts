/** The words that lead to the screens one may go to. */

import { addressOf, type FarmScreen, type Place } from "../../core/place";
import { SCREEN_WORD, SHELL } from "../../core/wording";
import { h } from "../../ui/dom";

/** Return the navigation. */
export function navigation(place: Place, screens: readonly FarmScreen[], go: (to: Place) => void): HTMLElement {
  const links = screens.map((screen) => {
    const to: Place = { screen, block: screen === "rows" || screen === "checks" ? place.block : null };
    return h(
      "a",
      {
        href: addressOf(to),
        class: "nav-word",
        "aria-current": screen === place.screen ? "page" : null,
        on: {
          click: (event: MouseEvent) => {
            if (event.metaKey || event.ctrlKey || event.shiftKey || event.button !== 0) return;
            event.preventDefault();
            go(to);
          },
        },
      },
      SCREEN_WORD[screen],
    );
  });
  return h("nav", { "aria-label": SHELL.screens }, ...links);
}
