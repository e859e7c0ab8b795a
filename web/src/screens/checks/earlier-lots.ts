/** Second looks at lots of earlier days: one button in the head, and under it one for each lot. */

import { WALK } from "../../core/check-walk-wording";
import { dayText } from "../../core/numbers";
import type { LotPack } from "../../core/quality-contracts";
import { h } from "../../ui/dom";

export interface EarlierLots {
  button: HTMLElement;
  box: HTMLElement;
}

/** Return the button and what it opens; null where there is no such lot. */
export function earlierLots(lots: readonly LotPack[], chosen: (lot: LotPack) => void): EarlierLots | null {
  if (lots.length === 0) return null;
  const ways = lots.map((lot) => h("button", { type: "button", on: { click: () => chosen(lot) } }, WALK.earlierLot(lot.number, dayText(lot.decided_on ?? ""))));
  const box = h("section", { class: "earlier-lots", hidden: true }, h("h2", {}, WALK.earlierTitle), h("div", { class: "checks-ways" }, ...ways));
  const toggle = (): void => {
    box.hidden = !box.hidden;
    button.setAttribute("aria-expanded", String(!box.hidden));
  };
  const button = h("button", { type: "button", "aria-expanded": "false", on: { click: toggle } }, WALK.earlierLots);
  return { button, box };
}
