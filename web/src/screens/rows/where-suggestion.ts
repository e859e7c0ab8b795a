/** "Where am I?": the position narrows the rows down to a few, in words; a touch on one of them decides, never the position. */

import { suggested, type Guess } from "../../core/nearest-row";
import { BY_NUMBER } from "../../core/rows-wording";
import type { Whereabouts } from "../../data/position";
import { fill, h } from "../../ui/dom";
import { notice } from "../../ui/notice";

export interface WhereGiven {
  where(): Promise<Whereabouts>;
  guesses(found: Extract<Whereabouts, { state: "found" }>): Guess[];
}

/** Return the button that asks, and the place where the answer stands; `see` hears the row that was touched. */
export function whereSuggestion({ where, guesses }: WhereGiven, see: (row: number) => void): { button: HTMLElement; box: HTMLElement } {
  const said = notice();
  const picks = h("div", { class: "picks" });
  const ask = async (): Promise<void> => {
    button.disabled = true;
    said.say(BY_NUMBER.looking);
    const found = await where();
    button.disabled = false;
    fill(picks);
    if (found.state === "denied") {
      // asked once, answered once: the number pad is there all the same
      button.hidden = true;
      return said.say(BY_NUMBER.denied);
    }
    if (found.state === "unknown") return said.say(BY_NUMBER.unknown);
    const rows = suggested(guesses(found));
    if (rows.length === 0) return said.say(BY_NUMBER.elsewhere);
    said.say(`${BY_NUMBER.near(found.fix.accuracy_m, rows)} ${BY_NUMBER.decide}`);
    fill(picks, ...rows.map((row) => h("button", { type: "button", on: { click: () => see(row) } }, BY_NUMBER.pick(row))));
  };
  const button = h("button", { type: "button", on: { click: () => void ask() } }, BY_NUMBER.whereAmI);
  return { button, box: h("div", { class: "where" }, said.box, picks) };
}
