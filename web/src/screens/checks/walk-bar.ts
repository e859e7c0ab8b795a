/** The foot of the walk: one button for a tree that is as the brief says, one that saves and goes to the next tree. */

import { WALK } from "../../core/check-walk-wording";
import type { TreeVerdict } from "../../core/contracts";
import type { Judged } from "../../core/walk-draft";
import { TREE_VERDICT } from "../../core/wording";
import { fill, h } from "../../ui/dom";
import { atEdge } from "../../ui/edges";
import { budPicture } from "../../ui/legend-signs";
import { notice, type Tone } from "../../ui/notice";
import { settle } from "../../ui/settling";

export interface WalkBar {
  box: HTMLElement;
  say(text: string, tone?: Tone): void;
  draw(judged: Judged): void;
  /** Nothing can be saved: a check is on its way, or the tree is not for this auditor. */
  shut(words?: string): void;
}

/** Return the bar for points; one touch answers those of yes or no, where there are any. */
export function walkBar(hears: { allYes(): void; save(verdict: TreeVerdict): void }, hasYesNo: boolean): WalkBar {
  const said = notice();
  const bud = h("span", { class: "walk-bud" });
  const words = h("span", {});
  const why = h("p", { class: "walk-why", role: "status" });
  let verdict: TreeVerdict = "meets";
  let hadFocus = false;
  const allYes = h("button", { type: "button", class: "walk-all", hidden: !hasYesNo, on: { click: hears.allYes } }, WALK.allYes(false));
  const save = h("button", { type: "button", class: "main walk-save", on: { click: () => hears.save(verdict) } }, bud, words);
  const label = (text: string): void => {
    words.textContent = text;
  };
  return {
    box: atEdge("bottom", h("div", { class: "walk-bar" }, h("div", { class: "walk-said" }, said.box, why), h("div", { class: "walk-buttons" }, allYes, save))),
    say: said.say,
    draw(judged) {
      verdict = judged.verdict;
      const isTold = judged.failed.length > 0 || judged.isEnough;
      fill(bud, isTold ? budPicture(verdict) : null);
      label(isTold ? WALK.save(TREE_VERDICT[verdict].toLowerCase()) : WALK.saveNone);
      allYes.disabled = false;
      allYes.textContent = WALK.allYes(judged.isBegun);
      save.disabled = !judged.isEnough;
      if (hadFocus && hasYesNo) allYes.focus({ preventScroll: true }); // the keyboard goes on where the next tree begins
      hadFocus = false;
      const rest = judged.open > 0 ? WALK.openPoints(judged.open) : judged.isEnough ? "" : WALK.nothingFound;
      const failed = judged.failed.length > 0 ? WALK.failedPoints(judged.failed.length) : "";
      const measurable = judged.unmeasured > 0 ? WALK.unmeasured(judged.unmeasured) : "";
      const text = [failed, rest, measurable].filter((part) => part !== "").join(" ");
      if (why.textContent !== text) why.textContent = text; // read out when it changes, not at every touch
    },
    shut(text = "") {
      hadFocus = document.activeElement === save;
      allYes.disabled = save.disabled = true;
      label(WALK.saveNone);
      why.textContent = text;
    },
  };
}

/** Return the bar for a lot without a brief to go by, and why: the verdict on the whole tree saves it. */
export function wholeTreeBar(hears: { save(verdict: TreeVerdict): void }, reason: string): WalkBar {
  const said = notice();
  const why = h("p", { class: "walk-why", role: "status" });
  const buttons = (["meets", "minor", "faulty"] as const).map((verdict) =>
    h("button", { type: "button", class: "walk-save", on: { click: () => hears.save(verdict) } }, budPicture(verdict), h("span", {}, TREE_VERDICT[verdict])),
  );
  const row = h("div", { class: "walk-buttons walk-whole" }, ...buttons);
  let isShut = false;
  const turn = (isOpen: boolean, text: string): void => {
    // a second tap would judge the next tree
    if (isOpen && isShut) settle(row);
    isShut = !isOpen;
    for (const one of buttons) one.disabled = !isOpen;
    why.textContent = text;
  };
  return {
    box: atEdge("bottom", h("div", { class: "walk-bar" }, h("div", { class: "walk-said" }, said.box, why), row)),
    say: said.say,
    draw: () => turn(true, reason),
    shut: (text = "") => turn(false, text),
  };
}
