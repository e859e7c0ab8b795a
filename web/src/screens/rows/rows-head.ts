/** The head of a block's rows: block, variety, crew, and the day and method that marks are made with. */

import type { Method } from "../../core/contracts";
import { dayText } from "../../core/numbers";
import { ROWS } from "../../core/rows-wording";
import { METHOD } from "../../core/wording";
import { h } from "../../ui/dom";
import { choiceField, dayField } from "../../ui/field";
import type { Context } from "../context";
import type { BlockRows, Work } from "./block-rows";

export interface RowsHead {
  box: HTMLElement;
  entered(): { day: string; method: Method };
}

/** Return the head; `dayChanged` hears that another day was entered. */
export function rowsHead({ block }: BlockRows, context: Context, work: Work, dayChanged: () => void): RowsHead {
  const { today } = context.farm;
  const day = dayField(ROWS.day, today, { max: today });
  const methods = Object.entries(METHOD).map(([value, label]) => ({ value, label }));
  const method = choiceField(ROWS.method, methods, work.crew?.method ?? "ladder");
  const entered = (): { day: string; method: Method } => ({
    day: day.input.value === "" ? today : day.input.value,
    method: method.input.value as Method,
  });
  const summary = h("summary", {});
  const say = (): void => {
    const now = entered();
    summary.textContent = ROWS.markedWith(dayText(now.day), METHOD[now.method]);
    summary.dataset["today"] = String(now.day === today);
  };
  day.input.addEventListener("change", () => {
    say();
    dayChanged();
  });
  method.input.addEventListener("change", say);
  say();
  const name = block.name === block.code ? "" : block.name;
  const crew = work.crew === null ? ROWS.crewNone : `${ROWS.crew}: ${work.crew.name}`;
  const button = (text: string, kind: string, click: () => void): HTMLElement =>
    h("button", { type: "button", class: kind, on: { click } }, text);
  return {
    box: h(
      "div",
      { class: "rows-head" },
      h(
        "div",
        {},
        h("h1", { tabindex: "-1" }, h("span", { class: "block-code" }, block.code), ` ${name}`),
        h("p", {}, [block.variety ?? "", crew].filter(Boolean).join(" · ")),
      ),
      ...(work.crew === null ? [button(ROWS.pickCrew, "main", work.pickCrew)] : [h("details", { class: "marked-with" }, summary, h("div", { class: "marked-with-fields" }, day.box, method.box))]),
      button(ROWS.otherBlock, "", work.otherBlock),
    ),
    entered,
  };
}
