/** One matter on the screen: what it shows, what was decided, and the line in which it answers. */

import type { Place } from "../../core/place";
import { SETTLING } from "../../core/settling-wording";
import { h } from "../../ui/dom";
import { notice, type Notice } from "../../ui/notice";
import type { Deciding, Step } from "./deciding";

export interface Card {
  box: HTMLElement;
  /** Something was typed or chosen, or it was settled: not to be drawn away. */
  keep(): boolean;
}

/** What a card is given beside what it shows. */
export interface CardTools {
  deciding: Deciding;
  /** Told once the service has the settlement. */
  settled(): void;
  go(place: Place): void;
}

export interface Act {
  label: string;
  main?: boolean;
  /** Return what is to be sent, or the sentence that says what is missing. */
  decide(): { print: string; make(): readonly Step[]; settled: string } | string;
}

export interface Acts {
  box: HTMLElement;
  said: Notice;
  isSettled(): boolean;
}

/** Return the buttons of a card; while one is carried out none can be touched, afterwards none is left. */
export function actsOf(acts: readonly Act[], deciding: Deciding, settled: () => void): Acts {
  const said = notice();
  let over = false;
  const run = async (act: Act): Promise<void> => {
    const decision = act.decide();
    if (typeof decision === "string") {
      said.say(decision, "bad");
      return;
    }
    for (const button of buttons) button.disabled = true;
    said.say(SETTLING.settling);
    const outcome = await deciding.carryOut(decision.print, decision.make);
    if (outcome.settled) {
      over = true;
      line.remove();
      said.say(decision.settled, "good");
      said.box.tabIndex = -1;
      said.box.focus({ preventScroll: true }); // the button that had the keyboard is gone
      settled();
      return;
    }
    for (const button of buttons) button.disabled = false;
    buttons[acts.indexOf(act)]?.focus({ preventScroll: true }); // it lost the keyboard when it was disabled
    said.say(outcome.words, "bad");
  };
  const buttons = acts.map((act) =>
    h("button", { type: "button", ...(act.main ? { class: "main" } : {}), on: { click: () => void run(act) } }, act.label),
  );
  const line = h("div", { class: "line-buttons" }, ...buttons);
  return { box: h("div", { class: "acts" }, line, said.box), said, isSettled: () => over };
}
