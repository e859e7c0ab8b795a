/** The bar at the foot: how far in the row, mark it, and the large undo of what was done last. */

import type { Run, ShapeRow } from "../../core/contracts";
import { stretchesLeft, treesIn, type Stretch } from "../../core/coverage";
import { ROWS } from "../../core/rows-wording";
import { SHELL } from "../../core/wording";
import { fill, h } from "../../ui/dom";
import { notice } from "../../ui/notice";
import { stepper } from "../../ui/stepper";
import type { Done } from "./marking";

export interface ActionBar {
  box: HTMLElement;
  /** The whole row was tapped. */
  whole(row: ShapeRow): void;
  /** The end of a row was dragged to a position. */
  part(row: ShapeRow, last: number): void;
  /** Name the rows that are being saved, and hear which could not be sent. */
  wait(rows: readonly number[], unsaved: ReadonlySet<number>): void;
  say(done: Done): void;
  tell(text: string): void;
  isChoosing(): boolean;
}
export interface BarActions {
  mark(row: ShapeRow, stretches: readonly Stretch[]): void;
  undo(done: Done): void;
  tryAgain(): void;
  preview(row: ShapeRow | null, stretch: Stretch | null): void;
  /** The choice was left: the keyboard goes back to the row. */
  back(row: ShapeRow): void;
  /** Who marked the row, this device's own crew left out. */
  otherCrews(row: ShapeRow): string[];
  runsOf(row: ShapeRow): readonly Run[];
}

/** So many of the last actions keep their undo. */
const KEPT = 3;

function button(text: string, name: string, click: () => void): HTMLButtonElement {
  return h("button", { type: "button", class: name, on: { click } }, text);
}

/** Return the bar. */
export function actionBar(actions: BarActions): ActionBar {
  const said = notice();
  const saving = h("p", { class: "saving", role: "status" });
  const choice = h("div", { class: "bar-choice" });
  const undos = h("div", { class: "bar-tools" });
  const box = h("section", { class: "action-bar", "aria-label": ROWS.barLabel }, said.box, saving, choice, undos);
  let drawnUndos = "";
  let choosing: ShapeRow | null = null;
  let last: Done[] = [];
  let unsent: ReadonlySet<number> = new Set();
  /** The row that is said to be not saved. */
  let blamed: number | null = null;

  const drawUndos = (): void => {
    const undo = (done: Done, at: number): HTMLButtonElement =>
      button(ROWS.undo(done.row), at === 0 ? "undo" : "", () => actions.undo(done));
    // only what changed is drawn: the keyboard may stand on one of the buttons
    const now = choosing === null ? JSON.stringify([unsent.size > 0, last.map(({ marks }) => marks)]) : "";
    if (now === drawnUndos) return;
    drawnUndos = now;
    const again = unsent.size > 0 ? button(SHELL.tryAgain, "main", actions.tryAgain) : null;
    if (choosing === null) fill(undos, again, ...last.map(undo));
    else fill(undos);
  };
  const close = (): void => {
    choosing = null;
    actions.preview(null, null);
    fill(choice);
    drawUndos();
  };
  const leaveIt = (): void => {
    const row = choosing;
    close();
    if (row !== null) actions.back(row);
  };
  const alreadyDone = (row: ShapeRow): void => {
    close();
    const crews = actions.otherCrews(row);
    said.say(`${ROWS.nothingLeft(row.n)} ${crews.length > 0 ? ROWS.claim(crews.join(", ")) : ""}`);
    const leave = (): void => {
      close();
      said.say("");
    };
    const ours = (): void => {
      leave();
      actions.mark(row, [{ first: 1, last: row.p }]);
    };
    fill(
      choice,
      crews.length === 0 ? null : button(ROWS.ours, "", ours),
      button(crews.length === 0 ? SHELL.understood : ROWS.leaveIt, "", leave),
    );
  };
  const choose = (row: ShapeRow, start: number): void => {
    let fromOtherEnd = false;
    choosing = row;
    drawUndos();
    const text = h("p", { class: "choosing", role: "status" });
    const reach = stepper(ROWS.lastPosition, { less: ROWS.oneLess, more: ROWS.oneMore }, () => show());
    const within = (): Stretch =>
      fromOtherEnd ? { first: reach.value(), last: row.p } : { first: 1, last: reach.value() };
    const show = (): void => {
      const left = stretchesLeft(row, actions.runsOf(row), within());
      const first = left[0]?.first ?? reach.value();
      const end = left.at(-1)?.last ?? reach.value();
      actions.preview(row, left.length === 0 ? null : { first, last: end });
      const trees = left.reduce((sum, stretch) => sum + treesIn(row, stretch), 0);
      text.textContent = left.length === 0 ? ROWS.nothingThere : ROWS.choosing(row.n, first, end, trees);
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
      reach.setLabel(fromOtherEnd ? ROWS.fromPosition : ROWS.lastPosition);
      show();
    });
    reach.set(start, 1, row.p);
    said.say("");
    fill(choice, text, reach.box, turn, markIt, button(ROWS.leaveIt, "", leaveIt));
    show();
    reach.focus();
  };
  box.addEventListener("keydown", (event) => {
    if (event.key === "Escape" && choosing !== null) leaveIt();
  });
  return {
    box,
    whole(row) {
      const left = stretchesLeft(row, actions.runsOf(row), { first: 1, last: row.p });
      if (left.length === 0) return alreadyDone(row);
      close();
      actions.mark(row, left);
    },
    part: choose,
    wait(rows, unsaved) {
      unsent = unsaved;
      if (blamed !== null && !unsent.has(blamed)) {
        blamed = null;
        said.say(""); // it was saved meanwhile
      }
      saving.textContent = rows.length === 0 ? "" : ROWS.saving(rows);
      if (rows.length > 0) said.say("");
      drawUndos();
    },
    say(done) {
      const gone = new Set(done.withdrawn.map(({ id }) => id));
      last = last.filter((one) => !one.marks.some(({ id }) => gone.has(id)));
      if (done.marks.length > 0) last = [done, ...last].slice(0, KEPT);
      said.say(done.text, done.tone);
      blamed = unsent.has(done.row) ? done.row : null;
      const hadFocus = !document.activeElement || document.activeElement === document.body;
      drawUndos();
      if (hadFocus && choosing === null) undos.querySelector<HTMLElement>(".undo")?.focus({ preventScroll: true });
    },
    tell(text) {
      said.say(text);
    },
    isChoosing: () => choosing !== null,
  };
}
