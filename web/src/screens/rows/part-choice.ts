/** How far the crew came in a row, pruning it or going over it again: one position more or less, from the end it began at. */

import type { Run, ShapeRow } from "../../core/contracts";
import { treesOfParts, type AgainPart } from "../../core/again";
import { passed, stretchesLeft, treesIn, type Stretch } from "../../core/coverage";
import { AGAIN } from "../../core/returns-wording";
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
  mark(parts: readonly Part[]): void;
  leave(): void;
  preview(stretch: Stretch | null): void;
  runs(): readonly Run[];
  /** What returns ask for within these positions. */
  again(within: Stretch): AgainPart[];
}

/** Return the choice, begun at `position` by a crew that came in from the end `from`. */
export function partChoice(row: ShapeRow, position: number, from: RowEnd, hears: PartHears): PartChoice {
  let began = from;
  const text = h("p", { class: "choosing", role: "status" });
  const reach = stepper(ROWS.lastPosition, { less: ROWS.oneLess, more: ROWS.oneMore }, () => show());
  const left = (): Stretch[] => stretchesLeft(row, hears.runs(), passed(row, reach.value(), began));
  const again = (): AgainPart[] => hears.again(passed(row, reach.value(), began));
  const show = (): void => {
    const [stretches, parts] = [left(), again()];
    const shown = stretches.length > 0 ? stretches : parts.flatMap((part) => part.stretches);
    const first = Math.min(...shown.map((one) => one.first));
    const end = Math.max(...shown.map((one) => one.last));
    hears.preview(shown.length === 0 ? null : { first, last: end });
    const treesAgain = treesOfParts(parts, row);
    const trees = stretches.reduce((sum, stretch) => sum + treesIn(row, stretch), 0);
    if (shown.length === 0) text.textContent = ROWS.nothingThere;
    else if (stretches.length === 0) text.textContent = AGAIN.choosing(row.n, first, end, treesAgain);
    else text.textContent = [ROWS.choosing(row.n, first, end, trees), treesAgain > 0 ? AGAIN.choosingToo(treesAgain) : ""].filter(Boolean).join(". ");
    // one touch says one thing: in a row that is pruned there is nothing to mark but what was gone over again
    markIt.hidden = stretches.length === 0 && parts.length > 0;
    markIt.disabled = stretches.length === 0;
    againIt.hidden = parts.length === 0;
    againIt.className = stretches.length === 0 ? "main" : "";
    reach.setLabel(began === "first" ? ROWS.lastPosition : ROWS.fromPosition);
    turn.textContent = ROWS.turn(otherEnd(began));
  };
  const button = (words: string, kind: string, click: () => void): HTMLButtonElement =>
    h("button", { type: "button", class: kind, on: { click } }, words);
  const markIt = button(ROWS.markIt, "main", () => hears.mark([{ row: row.n, stretches: left() }]));
  const againIt = button(AGAIN.markIt, "", () => hears.mark(again()));
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
      againIt,
      markIt,
    ),
    focus: () => reach.focus(),
  };
}
