/** Taking a block along by hand while there is a signal: for one that is not among those that come by themselves. */

import type { BlockSummary } from "../core/contracts";
import { momentText } from "../core/numbers";
import { PICKER } from "../core/picker-wording";
import { QUEUE } from "../core/queue-wording";
import { SHELL } from "../core/wording";
import { sentence } from "../data/request";
import { h } from "../ui/dom";
import { notice } from "../ui/notice";

export interface TakeAlong {
  box: HTMLElement;
  /** Draw anew: the age of the block on this device, null for one that is not here; and whether any block is. */
  draw(age: string | null, isAnyHere: boolean): void;
}

/** Return the line of one block: what is missing, the button that fetches it, and its age once it is here. */
export function takeAlong({ code }: BlockSummary, timeZone: string, fetchIt: () => Promise<void>): TakeAlong {
  const said = notice();
  let isAsked = false;
  const take = async (): Promise<void> => {
    button.disabled = true;
    said.say(PICKER.taking(code));
    try {
      isAsked = true;
      await fetchIt(); // that it is here is told by the ground
    } catch (error) {
      isAsked = false;
      said.say(PICKER.notTaken(code, sentence(error, SHELL.noAnswer)), "bad");
    } finally {
      button.disabled = false;
    }
  };
  const button = h("button", { type: "button", "aria-label": PICKER.takeLabel(code), on: { click: () => void take() } }, PICKER.take);
  const box = h("div", { class: "take-along" }, said.box, button);
  said.say(QUEUE.packNone);
  return {
    box,
    draw(age, isAnyHere) {
      // before anything is here there is nothing to tell apart
      box.hidden = !isAsked && (age !== null || !isAnyHere);
      button.hidden = age !== null;
      if (age !== null && isAsked) said.say(PICKER.taken(momentText(age, timeZone)), "good");
    },
  };
}
