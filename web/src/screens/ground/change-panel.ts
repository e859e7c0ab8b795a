/** What changes before anything is taken, and the buttons that take it, undo the last edit or discard all. */

import { changeLines, type ChangeLine } from "../../core/ground-changes";
import { GROUND } from "../../core/ground-wording";
import { fill, h } from "../../ui/dom";
import { atEdge } from "../../ui/edges";
import type { GroundDesk } from "./ground-state";

export interface ChangePanel {
  box: HTMLElement;
  /** What stays in sight: how many edits there are, and the buttons. */
  foot: HTMLElement;
  draw(desk: GroundDesk, how: { isTaking: boolean; isOld: boolean }): void;
}

/** Return a line of a list of changes. */
export function lineItem({ text, hinders, heed = false }: ChangeLine): HTMLElement {
  return h("li", { class: hinders ? "ground-hinders" : heed ? "ground-heed" : "" }, text);
}

/** Return the panel; `codeOf` names a block by its id, `told` is what was done last, `said` what just went wrong. */
export function changePanel(codeOf: (block: string) => string, hears: { take(): void; readAnew(): void }, told: string, said: HTMLElement): ChangePanel {
  const lines = h("ul", { class: "plain-list ground-changes", tabindex: 0, "aria-label": GROUND.changes });
  const none = h("p", {}, GROUND.nothing);
  const state = h("p", { role: "status", class: "ground-state" });
  const tools = h("div", { class: "line-buttons" });
  return {
    box: h("section", { class: "ground-panel", "aria-label": GROUND.changes }, h("h2", {}, GROUND.changes), none, lines),
    foot: atEdge("bottom", h("div", { class: "ground-foot" }, said, state, tools)),
    draw(desk, { isTaking, isOld }) {
      const { steps, found, isTrying } = desk;
      const rows = steps === 0 || found === null ? [] : changeLines(found, codeOf);
      const hinders = rows.some((line) => line.hinders);
      state.textContent = isTaking
        ? GROUND.taking
        : isTrying
          ? GROUND.working
          : steps === 0
            ? told || GROUND.nothing
            : [GROUND.edits(steps), hinders ? GROUND.hindered : ""].filter((text) => text !== "").join(". ");
      none.hidden = rows.length > 0;
      fill(lines, ...rows.map((line) => lineItem(line)));
      const button = (key: string, text: string, click: () => void, disabled: boolean, name = ""): HTMLElement =>
        h("button", { type: "button", class: name, "data-key": key, disabled, on: { click } }, text);
      const isOff = steps === 0 || isTaking;
      const cannot = isOff || isOld || isTrying || found?.can_be_taken !== true;
      fill(
        tools,
        isOld ? button("anew", GROUND.readAnew, () => hears.readAnew(), isTaking, "main") : null,
        button("take", GROUND.take, () => hears.take(), cannot, "main"),
        button("undo", GROUND.undo, () => desk.undo(), isOff),
        button("discard", GROUND.discard, () => desk.discard(), isOff),
      );
    },
  };
}
