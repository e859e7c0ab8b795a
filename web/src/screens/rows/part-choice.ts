/** How far the crew came in a row: one position more or less, from the end it began at. */

import type { Run, ShapeRow } from "../../core/contracts";
import { passed, stretchesLeft, treesIn, type Stretch } from "../../core/coverage";
import { ROWS } from "../../core/rows-wording";
import { otherEnd, type RowEnd } from "../../core/walking";
import { h } from "../../ui/dom";
import { stepper } from "../../ui/stepper";
import type { Part } from "./marking";

export interface PartChoice {
  row: ShapeRow;
  box: HTMLElement;
  focus(): void;
}
export interface PartHears {
  mark(part: Part): void;
  leave(): void;
  preview(stretch: Stretch | null): void;
  runs(): readonly Run[];
}

/** Return the choice, begun at `position` by a crew that came in from the end `from`. */
export function partChoice(row: ShapeRow, position: number, from: RowEnd, hears: PartHears): PartChoice {
  let began = from;
  const text = h("p", { class: "choosing", role: "status" });
  const reach = stepper(ROWS.lastPosition, { less: ROWS.oneLess, more: ROWS.oneMore }, () => show());
  const left = (): Stretch[] => stretchesLeft(row, hears.runs(), passed(row, reach.value(), began));
  const show = (): void => {
    const stretches = left();
    const first = stretches[0]?.first ?? reach.value();
    const end = stretches.at(-1)?.last ?? reach.value();
    hears.preview(stretches.length === 0 ? null : { first, last: end });
    const trees = stretches.reduce((sum, stretch) => sum + treesIn(row, stretch), 0);
    text.textContent = stretches.length === 0 ? ROWS.nothingThere : ROWS.choosing(row.n, first, end, trees);
    markIt.disabled = stretches.length === 0;
    reach.setLabel(began === "first" ? ROWS.lastPosition : ROWS.fromPosition);
    turn.textContent = ROWS.turn(otherEnd(began));
  };
  const button = (words: string, kind: string, click: () => void): HTMLButtonElement =>
    h("button", { type: "button", class: kind, on: { click } }, words);
  const markIt = button(ROWS.markIt, "main", () => hears.mark({ row: row.n, stretches: left() }));
  const turn = button("", "", () => {
    began = otherEnd(began);
    show();
  });
  reach.set(position, 1, row.p);
  show();
  return {
    row,
    box: h(
      "div",
      { class: "part-choice" },
      text,
      reach.box,
      turn,
      button(ROWS.leaveIt, "", hears.leave),
      markIt,
    ),
    focus: () => reach.focus(),
  };
}
