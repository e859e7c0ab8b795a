/** Blocks far from the farm's, or from each other: that they belong to this farm is asked before they are taken. */

import type { FarBlocks } from "../../core/block-places";
import { IMPORT } from "../../core/set-up-wording";
import { fill, h } from "../../ui/dom";

export interface FarAsk {
  box: HTMLElement;
  /** Show what lies far off; true while nobody has said that it belongs there. */
  draw(far: readonly FarBlocks[], ofFarm: boolean): boolean;
  /** Whether somebody said that it does. */
  meant(): boolean;
}

const MOST_PLACES = 5;

/** Return the question; `answered` hears that it was answered. */
export function farAsk(answered: () => void): FarAsk {
  const tick = h("input", { type: "checkbox", on: { change: answered } });
  const words = h("div", { role: "status" });
  const question = h("label", { class: "far-meant" }, tick, h("span", {}, IMPORT.farMeant));
  const box = h("div", { class: "far-ask" }, words, h("div", { class: "far-answer" }, question, h("p", {}, IMPORT.farElse)));
  let asked = "";
  return {
    box,
    draw(far, ofFarm) {
      const all = far.map(({ codes, away_km }) => (away_km === null ? IMPORT.farApart(codes) : IMPORT.farAway(codes, away_km, ofFarm)));
      const sentences = [...all.slice(0, MOST_PLACES), ...(all.length > MOST_PLACES ? [IMPORT.farMore(all.length - MOST_PLACES)] : [])];
      // a yes holds for the blocks it was said of
      if (sentences.join("\n") !== asked) {
        asked = sentences.join("\n");
        tick.checked = false;
        fill(words, ...sentences.map((sentence) => h("p", {}, sentence)));
      }
      box.hidden = far.length === 0;
      return far.length > 0 && !tick.checked;
    },
    meant: () => tick.checked,
  };
}
