/** The card of a brief, opened over the rows by its tool. */

import { h } from "../../ui/dom";
import type { Panel } from "../rows/action-bar";

/** Lay `card` over what `sheet` shows, with a button that says `back`; when the panel is left, everything is where it was. */
export function briefOver(card: HTMLElement, back: string, sheet: HTMLElement, close: () => void): Panel {
  const under = [...sheet.children].filter((one) => one instanceof HTMLElement);
  const { scrollY } = window;
  for (const one of under) one.inert = true;
  sheet.append(card);
  sheet.scrollIntoView({ block: "start" });
  return {
    // in the bar, so that nobody scrolls for it
    box: h("button", { type: "button", class: "main", on: { click: close } }, back),
    leave() {
      card.remove();
      for (const one of under) one.inert = false;
      window.scrollTo(0, scrollY);
    },
  };
}
