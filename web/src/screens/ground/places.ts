/** What stands at each position of a row: tap it, or walk with the arrow keys and turn it with Enter. */

import type { GroundRow } from "../../core/ground-contracts";
import { placeAt, turnedPlaces, type Place } from "../../core/ground-rows";
import { GROUND } from "../../core/ground-wording";
import { h } from "../../ui/dom";

const SIGN: Record<Place, string> = { tree: "", blank: "×", pollinizer: "◆" };

/** Return the row's positions as buttons in walking order; one of them is reached by Tab, the others by arrow keys. */
export function places(row: GroundRow, turned: (places: { blanks: number[]; pollinizers: number[] }) => void, at: number): HTMLElement {
  const buttons = Array.from({ length: row.positions }, (_, index) => {
    const position = index + 1;
    const kind = placeAt(row, position);
    return h(
      "button",
      {
        type: "button",
        class: `place ${kind}`,
        tabindex: position === Math.min(at, row.positions) ? 0 : -1,
        "aria-label": GROUND.place(position, GROUND.kinds[kind]),
        "data-key": `place-${position}`,
        "data-position": position,
        on: { click: () => turned(turnedPlaces(row, position)) },
      },
      h("span", { class: "place-number" }, String(position)),
      h("span", { class: "place-sign", "aria-hidden": "true" }, SIGN[kind]),
    );
  });
  const walk = (event: KeyboardEvent): void => {
    const now = buttons.findIndex((button) => button === document.activeElement);
    const step = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1, Home: -Infinity, End: Infinity }[event.key];
    if (now < 0 || step === undefined) return;
    event.preventDefault();
    const next = buttons[Math.min(buttons.length - 1, Math.max(0, now + step))];
    for (const button of buttons) button.tabIndex = button === next ? 0 : -1;
    next?.focus();
  };
  return h("div", { class: "places", role: "group", "aria-label": GROUND.places, on: { keydown: walk } }, ...buttons);
}
