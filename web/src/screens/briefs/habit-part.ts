/** What the card says of how the variety bears. The points stay as they are. */

import type { BearingHabit } from "../../core/brief-contracts";
import { BEARING, REST } from "../../core/briefs-wording";
import { h } from "../../ui/dom";
import { choiceField } from "../../ui/field";
import type { Desk } from "./desk";

/** Return the part. */
export function habitPart(desk: Desk): HTMLElement {
  const { habit, is_heavy_setter } = desk.content();
  const choices = Object.entries(BEARING).map(([value, label]) => ({ value, label }));
  const bearing = choiceField(REST.bearing, choices, habit);
  const heavy = h("input", { type: "checkbox" });
  heavy.checked = is_heavy_setter;
  bearing.input.addEventListener("change", () => desk.change({ habit: bearing.input.value as BearingHabit }));
  heavy.addEventListener("change", () => desk.change({ is_heavy_setter: heavy.checked }));
  return h(
    "section",
    {},
    h("h2", {}, REST.habit),
    h("div", { class: "habit-choice" }, bearing.box, h("label", { class: "radio" }, heavy, h("span", {}, REST.heavy))),
  );
}
