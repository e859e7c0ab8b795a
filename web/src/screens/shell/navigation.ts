/** The words that lead to the screens one may go to. */

import type { FarmScreen, Place } from "../../core/place";
import { SCREEN_WORD, SHELL } from "../../core/wording";
import { h } from "../../ui/dom";
import { placeLink } from "../place-link";

/** Return the navigation. */
export function navigation(place: Place, screens: readonly FarmScreen[], go: (to: Place) => void): HTMLElement {
  const links = screens.map((screen) => {
    const to: Place = { screen, block: screen === "rows" || screen === "checks" ? place.block : null };
    const isHere = screen === place.screen;
    return placeLink(to, SCREEN_WORD[screen], go, { class: "nav-word", "aria-current": isHere ? "page" : null });
  });
  return h("nav", { "aria-label": SHELL.screens }, ...links);
}
