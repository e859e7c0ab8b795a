/** The three verdicts, and above them what stands in their way: checked already, not saved yet, nothing to check there. */

import type { TreeVerdict } from "../../core/contracts";
import { CHECKS } from "../../core/checks-wording";
import { SHELL, TREE_VERDICT } from "../../core/wording";
import { fill, h } from "../../ui/dom";
import { atEdge } from "../../ui/edges";
import { budPicture } from "../../ui/legend-signs";
import { notice, type Tone } from "../../ui/notice";
import type { OnlyVerdict } from "./by-points";

const VERDICTS: readonly TreeVerdict[] = ["meets", "minor", "faulty"];

export interface VerdictButtons {
  box: HTMLElement;
  say(text: string, tone?: Tone): void;
  /** Leave one verdict to be given, none, or (null) any. */
  narrow(only: OnlyVerdict): void;
  /** Ready for a verdict. */
  open(): void;
  /** No verdict can be given: one is on its way. */
  shut(): void;
  /** The tree has a check: another one needs a word first. */
  shutChecked(): void;
  /** The tree's check waits to be sent. */
  shutUnsaved(): void;
}
export interface VerdictHears {
  given(verdict: TreeVerdict): void;
  tryAgain(): void;
  /** What speaks against a verdict here, or nothing. */
  caveat(): string;
}

function button(text: string, name: string, click: () => void): HTMLButtonElement {
  return h("button", { type: "button", class: name, on: { click } }, text);
}

/** Return the buttons, shut until `open`, at the foot of the screen: what is said grows upwards, so they stay where the finger is. */
export function verdictButtons(hears: VerdictHears): VerdictButtons {
  const said = notice();
  const tools = h("div", { class: "verdict-tools" });
  let isOpenNow = false;
  let only: OnlyVerdict = null;
  const drawButtons = (): void => {
    VERDICTS.forEach((verdict, at) => {
      const one = buttons[at];
      if (one === undefined) return;
      one.disabled = !isOpenNow || (only !== null && only !== verdict);
      one.dataset["given"] = String(only === verdict);
    });
  };
  const turn = (isOpen: boolean, ...offered: HTMLElement[]): void => {
    isOpenNow = isOpen;
    drawButtons();
    fill(tools, ...offered);
  };
  const tap = (verdict: TreeVerdict): void => {
    const caveat = hears.caveat();
    if (caveat === "") return hears.given(verdict);
    said.say(caveat, "bad");
    const leave = (): void => {
      said.say("");
      turn(true);
    };
    const go = (): void => hears.given(verdict);
    turn(false, button(CHECKS.allTheSame(TREE_VERDICT[verdict]), "main", go), button(CHECKS.leaveIt, "", leave));
  };
  const buttons = VERDICTS.map((verdict) =>
    h(
      "button",
      { type: "button", class: "verdict", on: { click: () => tap(verdict) } },
      budPicture(verdict),
      h("span", {}, TREE_VERDICT[verdict]),
    ),
  );
  const again = (): void => {
    said.say(CHECKS.againNote);
    turn(true);
  };
  return {
    box: atEdge(
      "bottom",
      h(
        "div",
        { class: "verdict-bar" },
        h("div", { class: "verdict-said" }, said.box, tools),
        h("div", { class: "verdicts", role: "group", "aria-label": CHECKS.verdict }, ...buttons),
      ),
    ),
    say: said.say,
    narrow(to) {
      only = to;
      drawButtons();
    },
    open: () => turn(true),
    shut: () => turn(false),
    shutChecked: () => turn(false, button(CHECKS.again, "", again)),
    shutUnsaved: () => turn(false, button(SHELL.tryAgain, "main", hears.tryAgain)),
  };
}
