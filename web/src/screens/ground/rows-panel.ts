/** What can be done with several rows, and how a row is added. */

import { rows as ofRows } from "../../core/counted";
import type { BlockGround, GroundRow } from "../../core/ground-contracts";
import { beside, numbersFrom } from "../../core/ground-rows";
import { GROUND } from "../../core/ground-wording";
import { h } from "../../ui/dom";
import { textField } from "../../ui/field";
import { choiceBox } from "./choice-box";
import type { Wish } from "./ground-state";
import { countOf, countWish, folded, smallForm, wholeOf } from "./row-panel";

/** Return the panel of several chosen rows. */
export function rowsPanel(rows: readonly GroundRow[], edit: (wish: Wish) => void, editAll: (wishes: Wish[]) => void, open: Set<string>): HTMLElement {
  const chosen = rows.map(({ number }) => number);
  const button = (key: string, text: string, wish: Wish): HTMLElement =>
    h("button", { type: "button", "data-key": key, on: { click: () => edit(wish) } }, text);
  const first = textField(GROUND.from, "1", { inputmode: "numeric", "data-key": "from" });
  const side = choiceBox(GROUND.otherSide, "side");
  const anew = smallForm([first], GROUND.renumberDo, "renumber-do", () => {
    const from = wholeOf(first.input.value, 1, 100_000);
    first.complain(from === null ? GROUND.mustBeNumber : "");
    if (from === null) return;
    const numbers = numbersFrom(chosen, from, side.input.checked);
    if (numbers.length > 0) edit({ kind: "number-rows", numbers });
  });
  anew.firstElementChild?.after(side.box);
  const [a, b] = chosen;
  return h(
    "section",
    { class: "ground-panel", "aria-label": GROUND.several(ofRows(chosen.length)) },
    h("h2", {}, GROUND.several(ofRows(chosen.length))),
    h(
      "div",
      { class: "line-buttons" },
      button("drop", GROUND.drop, { kind: "drop-rows", rows: [...chosen] }),
      button("turn", GROUND.turn, { kind: "turn-rows", rows: [...chosen] }),
      ...(a !== undefined && b !== undefined && chosen.length === 2
        ? [
            button("join", GROUND.join(a, b), { kind: "join-rows", row: a, second: b }),
            button("join-back", GROUND.join(b, a), { kind: "join-rows", row: b, second: a }),
          ]
        : []),
    ),
    countForm(rows, editAll),
    folded(GROUND.renumber, "renumber", open, h("p", { class: "feature-note" }, GROUND.renumberWarning), anew),
  );
}

function countForm(rows: readonly GroundRow[], editAll: (wishes: Wish[]) => void): HTMLElement {
  const field = textField(GROUND.countedEach, "", { inputmode: "numeric", "data-key": "count-each" }, GROUND.countedEachHint);
  return smallForm([field], GROUND.count, "count-each-do", () => {
    const counted = countOf(field);
    if (counted !== undefined) editAll(rows.map((row) => countWish(row, counted)));
  });
}

/** Return how a row is added: beside the chosen one, or drawn on the plan. */
export function addRow(
  ground: BlockGround,
  chosen: readonly number[],
  edit: (wish: Wish) => void,
  draw: HTMLElement,
  open: Set<string>,
): HTMLElement {
  const row = chosen.length === 1 ? ground.rows.find(({ number }) => number === chosen[0]) : undefined;
  const spacing_m = ground.planting?.row_spacing_m ?? 0;
  const put = (right_m: number) => (): void => {
    if (row !== undefined) edit({ kind: "add-row", parts: beside(row.parts, right_m), number: null });
  };
  const button = (key: string, text: string, click: () => void): HTMLElement =>
    h("button", { type: "button", "data-key": key, on: { click } }, text);
  return folded(
    GROUND.add,
    "add",
    open,
    row === undefined || spacing_m === 0
      ? null
      : h(
          "div",
          { class: "line-buttons", role: "group", "aria-label": GROUND.addBeside(row.number) },
          h("span", {}, GROUND.addBeside(row.number)),
          button("add-left", GROUND.left, put(-spacing_m)),
          button("add-right", GROUND.right, put(spacing_m)),
        ),
    h("div", { class: "line-buttons" }, draw),
  );
}
