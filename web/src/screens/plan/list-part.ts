/** The same as lists: for those who read or hear lines better than bars. */

import { spanStanding, type Span } from "../../core/plan-queues";
import { PLAN } from "../../core/plan-wording";
import { h } from "../../ui/dom";
import { codeOf, crewName, daysOf, elsewhere, shift, spansHere, type PlanDesk } from "./desk";

/** Return the choice of a crew for a block. */
export function crewChoice(desk: PlanDesk, block: string, crew: string | null): HTMLSelectElement {
  const choice = h(
    "select",
    { "aria-label": PLAN.giveToLabel(codeOf(desk, block)), on: { change: () => desk.move(block, { crew: choice.value === "" ? null : choice.value, at: Number.MAX_SAFE_INTEGER }) } },
    ...[...desk.crews].map(([id, name]) => h("option", { value: id }, name)),
    h("option", { value: "" }, PLAN.nobody),
  );
  choice.value = crew ?? "";
  return choice;
}

/** Return the two buttons that change a block's place. */
export function shiftButtons(desk: PlanDesk, block: string): HTMLElement[] {
  const code = codeOf(desk, block);
  return [
    h("button", { type: "button", "aria-label": PLAN.soonerLabel(code), "data-shift": "-1", on: { click: () => shift(desk, block, -1) } }, PLAN.sooner),
    h("button", { type: "button", "aria-label": PLAN.laterLabel(code), "data-shift": "1", on: { click: () => shift(desk, block, 1) } }, PLAN.later),
  ];
}

function line(desk: PlanDesk, block: string, crew: string | null, span: Span | null): HTMLElement {
  const { left = 0 } = desk.board.blocks[block] ?? {};
  const about = [
    desk.names.get(block)?.variety ?? "",
    PLAN.left(left),
    span === null ? "" : daysOf(desk, span),
    span === null ? "" : PLAN.standing[spanStanding(desk.board, span)],
    elsewhere(desk, block) ?? "",
  ];
  const more = h("button", { type: "button", class: "quiet board-line-code", "data-block": block, "aria-pressed": String(desk.picked === block), on: { click: () => desk.pick(desk.picked === block ? null : block) } }, codeOf(desk, block));
  return h("li", { class: "board-line" }, more, h("span", { class: "board-line-about" }, about.filter((part) => part !== "").join("; ")), h("span", { class: "board-line-tools" }, ...shiftButtons(desk, block), crewChoice(desk, block, crew)));
}

/** Return the lists. */
export function listPart(desk: PlanDesk): HTMLElement {
  const { queues, open } = desk.plan;
  const section = (title: string, lines: HTMLElement[], none: string): HTMLElement =>
    h("section", { class: "plan-list" }, h("h2", {}, title), lines.length === 0 ? h("p", {}, none) : h("ol", { class: "plain-list" }, ...lines));
  return h(
    "div",
    {},
    ...queues.map(({ crew_id }) => section(crewName(desk, crew_id), spansHere(desk, crew_id).map((span) => line(desk, span.block, crew_id, span)), PLAN.crewEmpty)),
    section(PLAN.tray, open.map((block) => line(desk, block, null, null)), PLAN.trayEmpty),
  );
}
