/** The bar at the foot: how far in the row, mark it, and the large undo of what was done last. */

import type { Run, ShapeRow } from "../../core/contracts";
import { stretchesLeft, treesIn, type Stretch } from "../../core/coverage";
import { ROWS, SHELL } from "../../core/wording";
import { fill, h } from "../../ui/dom";
import { stepper } from "../../ui/stepper";
import { notice } from "../../ui/notice";
import type { Done } from "./marking";

export interface ActionBar {
  box: HTMLElement;
  /** The whole row was tapped. */
  whole(row: ShapeRow): void;
  /** The end of a row was dragged to a tree. */
  part(row: ShapeRow, last: number): void;
  wait(text: string): void;
  say(done: Done): void;
  isChoosing(): boolean;
}
export interface BarActions {
  mark(row: ShapeRow, stretches: readonly Stretch[]): void;
  undo(done: Done): void;
  preview(row: ShapeRow | null, stretch: Stretch | null): void;
  /** Who marked the row, this device's own crew left out. */
  otherCrews(row: ShapeRow): string[];
  runsOf(row: ShapeRow): readonly Run[];
}

function button(text: string, name: string, click: () => void): HTMLButtonElement {
  return h("button", { type: "button", class: name, on: { click } }, text);
}

/** Return the bar. */
export function actionBar(actions: BarActions): ActionBar {
  const said = notice();
  const tools = h("div", { class: "bar-tools" });
  const box = h("section", { class: "action-bar", "aria-label": ROWS.barLabel }, said.box, tools);
  let choosing = false;

  const close = (): void => {
    choosing = false;
    actions.preview(null, null);
    fill(tools);
    said.say("");
  };
  const alreadyDone = (row: ShapeRow): void => {
    close();
    const crews = actions.otherCrews(row);
    said.say(`${ROWS.nothingLeft(row.n)} ${crews.length > 0 ? ROWS.claim(crews.join(", ")) : ""}`);
    fill(
      tools,
      crews.length === 0 ? null : button(ROWS.ours, "", () => actions.mark(row, [{ first: 1, last: row.p }])),
      button(crews.length === 0 ? SHELL.understood : ROWS.leaveIt, "", close),
    );
  };
  const choose = (row: ShapeRow, start: number): void => {
    let fromOtherEnd = false;
    choosing = true;
    const reach = stepper(ROWS.lastTree, { less: ROWS.oneLess, more: ROWS.oneMore }, () => show());
    const within = (): Stretch =>
      fromOtherEnd ? { first: reach.value(), last: row.p } : { first: 1, last: reach.value() };
    const show = (): void => {
      const left = stretchesLeft(row, actions.runsOf(row), within());
      const first = left[0]?.first ?? reach.value();
      const last = left.at(-1)?.last ?? reach.value();
      actions.preview(row, left.length === 0 ? null : { first, last });
      const trees = left.reduce((sum, stretch) => sum + treesIn(row, stretch), 0);
      said.say(left.length === 0 ? ROWS.nothingThere : ROWS.choosing(row.n, first, last, trees));
      markIt.disabled = left.length === 0;
    };
    const markIt = button(ROWS.markIt, "main", () => {
      const stretches = stretchesLeft(row, actions.runsOf(row), within());
      close();
      actions.mark(row, stretches);
    });
    const turn = button(ROWS.otherEnd, "", () => {
      fromOtherEnd = !fromOtherEnd;
      turn.textContent = fromOtherEnd ? ROWS.firstEnd : ROWS.otherEnd;
      reach.setLabel(fromOtherEnd ? ROWS.fromTree : ROWS.lastTree);
      show();
    });
    reach.set(start, 1, row.p);
    fill(tools, reach.box, turn, markIt, button(ROWS.leaveIt, "", close));
    show();
  };
  return {
    box,
    whole(row) {
      const left = stretchesLeft(row, actions.runsOf(row), { first: 1, last: row.p });
      if (left.length === 0) alreadyDone(row);
      else actions.mark(row, left);
    },
    part: choose,
    wait(text) {
      close();
      said.say(text);
    },
    say(done) {
      said.say(done.text, done.tone);
      fill(tools, done.markIds.length > 0 ? button(ROWS.undo, "undo", () => actions.undo(done)) : null);
    },
    isChoosing: () => choosing,
  };
}
