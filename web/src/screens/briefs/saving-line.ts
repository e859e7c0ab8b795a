/** Says whether the draft is saved, and what to do where somebody else saved it meanwhile. */

import { heldWords } from "../../core/brief-state";
import { EDITOR } from "../../core/briefs-wording";
import { SHELL } from "../../core/wording";
import type { SavingState } from "../../data/draft-saving";
import { sentence } from "../../data/request";
import { fill, h } from "../../ui/dom";
import type { Desk } from "./desk";

function words(state: SavingState, savedBy: string): string {
  switch (state.is) {
    case "refused":
      return EDITOR.refused(sentence(state.error, SHELL.noAnswer));
    case "behind":
      return EDITOR.behind(savedBy);
    default:
      return EDITOR[state.is];
  }
}

/** Return the line; `reopen` shows the brief anew, as it is saved. */
export function savingLine(desk: Desk, reopen: () => void): HTMLElement {
  const line = h("p", { class: "saving-words", role: "status" });
  const ways = h("div", { class: "line-buttons" });
  const tellFailed = (error: unknown): void => fill(line, sentence(error, SHELL.noAnswer));
  const drop = (): void => {
    desk.forget();
    reopen();
  };
  const choices = (): HTMLElement[] => [
    h("a", { class: "button", href: location.href, target: "_blank", rel: "noopener" }, EDITOR.openOther),
    h("button", { type: "button", on: { click: () => void desk.saveOver().catch(tellFailed) } }, EDITOR.keepMine),
    h("button", { type: "button", on: { click: drop } }, EDITOR.takeOther),
  ];
  const takenUp = desk.isTakenUp ? h("p", {}, EDITOR.takenUp) : null;
  const held = h("p", { class: "held-words" });
  let told = "";
  const draw = (): void => {
    const holds = heldWords(desk.latest(), desk.content());
    if (holds !== held.textContent) fill(held, holds);
    const state = desk.state();
    if (state.is === "saved") takenUp?.remove();
    const said = words(state, desk.savedBy());
    if (said === told) return;
    told = said;
    fill(line, said);
    box.dataset["tone"] = state.is === "saved" ? "good" : ["behind", "refused", "waiting"].includes(state.is) ? "bad" : "plain";
    fill(ways, ...(state.is === "behind" ? choices() : []));
  };
  const box = h("div", { class: "notice saving" }, line, ways, held, takenUp);
  desk.listen(draw);
  draw();
  return box;
}
