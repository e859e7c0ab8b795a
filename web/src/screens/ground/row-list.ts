/** The rows of the block as a list: the plan's equal for keyboards and screen readers. */

import { trees } from "../../core/counted";
import { numberList } from "../../core/ground-changes";
import type { BlockGround } from "../../core/ground-contracts";
import { GROUND } from "../../core/ground-wording";
import { fill, h } from "../../ui/dom";

export interface RowList {
  box: HTMLElement;
  draw(ground: BlockGround | null, chosen: ReadonlySet<number>): void;
}

/** Return the list; `choose` hears which rows are chosen from now on. */
export function rowList(choose: (rows: readonly number[]) => void): RowList {
  const list = h("ul", { class: "plain-list ground-rows" });
  const told = h("p", { class: "ground-chosen", role: "status" });
  const tools = h("div", { class: "line-buttons" });
  return {
    box: h("section", { class: "ground-list" }, h("h2", {}, GROUND.rows), told, tools, list),
    draw(ground, chosen) {
      const rows = ground?.rows ?? [];
      told.textContent = chosen.size === 0 ? GROUND.noneChosen : GROUND.chosen(numberList([...chosen]));
      const all = (): void => choose(rows.map(({ number }) => number));
      const button = (key: string, text: string, click: () => void): HTMLElement =>
        h("button", { type: "button", class: "quiet", "data-key": key, on: { click } }, text);
      fill(tools, button("all", GROUND.chooseAll, all), button("none", GROUND.chooseNone, () => choose([])));
      const lines = rows.map((row) => {
        const { number } = row;
        const tick = h("input", { type: "checkbox", "aria-label": GROUND.pick(number), "data-key": `tick-${number}` });
        tick.checked = chosen.has(number);
        tick.addEventListener("change", () => choose(tick.checked ? [...chosen, number] : [...chosen].filter((one) => one !== number)));
        const only = (): void => choose([number]);
        const words = GROUND.rowButton(number, trees(row.trees));
        return h(
          "li",
          {},
          h("label", { class: "ground-tick" }, tick),
          h(
            "button",
            { type: "button", class: "draft-choice", "data-key": `row-${number}`, "aria-pressed": String(chosen.has(number)), on: { click: only } },
            words,
            row.marks + row.others > 0 ? h("span", { class: "ground-worked" }, ` · ${GROUND.hasMarks}`) : null,
          ),
        );
      });
      fill(list, ...lines);
    },
  };
}
