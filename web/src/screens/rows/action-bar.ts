/** The bar at the foot, within reach of a thumb: what was done, how to undo it, a choice or a tool that is open, and the tools. */

import { againParts } from "../../core/again";
import type { ShapeRow } from "../../core/contracts";
import type { Action } from "../../core/block-marks";
import { stretchesLeft, type Stretch } from "../../core/coverage";
import { ROWS, TOOLS } from "../../core/rows-wording";
import { undoWords } from "../../core/undo-words";
import type { RowEnd } from "../../core/walking";
import { SHELL } from "../../core/wording";
import { fill, h } from "../../ui/dom";
import { atEdge } from "../../ui/edges";
import { notice, type Tone } from "../../ui/notice";
import { settle } from "../../ui/settling";
import type { BlockBook } from "./block-book";
import type { Part } from "./marking";
import { partChoice, type PartChoice } from "./part-choice";

/** A tool that is open in the bar. */
export interface Panel {
  box: HTMLElement;
  leave?(): void;
}
export interface Tool {
  words: string;
  open(close: () => void): Panel;
}
export interface ActionBar {
  box: HTMLElement;
  /** The whole row was tapped. */
  whole(row: ShapeRow): void;
  /** The end of a row was dragged to a position. */
  part(row: ShapeRow, position: number, from: RowEnd): void;
  say(text: string, tone?: Tone): void;
  /** Offer to undo these, newest first; `unsafe` says that something is on this page only. */
  offer(actions: readonly Action[], unsafe: boolean): void;
  isChoosing(): boolean;
  focusUndo(): void;
  leave(): void;
}
export interface BarActions {
  mark(parts: readonly Part[]): void;
  undo(action: Action): void;
  tryAgain(): void;
  preview(row: ShapeRow | null, stretch: Stretch | null): void;
  /** The choice was left: the keyboard goes back to the row. */
  back(row: ShapeRow): void;
  /** Who marked the row, this device's own crew left out. */
  otherCrews(row: ShapeRow): string[];
  /** The code of another block, null for the one that is shown. */
  otherBlock(id: string): string | null;
}

/** So many of the last touches keep their undo in sight. */
const KEPT = 3;

function button(text: string, kind: string, click: () => void, label?: string): HTMLButtonElement {
  return h("button", { type: "button", class: kind, "aria-label": label, on: { click } }, text);
}

/** Return the bar. */
export function actionBar(book: BlockBook, tools: readonly Tool[], actions: BarActions): ActionBar {
  const said = notice();
  const choice = h("div", { class: "bar-choice" });
  const undos = h("div", { class: "bar-undos" });
  const toolBox = h("div", { class: "bar-tools", role: "group", "aria-label": TOOLS.label });
  const foot = h("div", { class: "bar-foot" }, undos, toolBox);
  const box = atEdge("bottom", h("section", { class: "action-bar", "aria-label": ROWS.barLabel }, choice, said.box, foot));
  let choosing: PartChoice | null = null;
  let panel: { tool: Tool; open: Panel } | null = null;
  let offered = "";
  let inSight: string[] = [];

  const close = (): void => {
    choosing = null;
    panel?.open.leave?.();
    panel = null;
    actions.preview(null, null);
    fill(choice);
    drawTools();
  };
  const toggle = (tool: Tool): void => {
    const again = panel?.tool === tool;
    close();
    said.say("");
    if (again) return;
    panel = { tool, open: tool.open(close) };
    fill(choice, panel.open.box);
    drawTools();
  };
  const drawTools = (): void => {
    const openTool = panel?.tool;
    tools.forEach((tool, at) => toolBox.children[at]?.setAttribute("aria-expanded", String(tool === openTool)));
    box.dataset["open"] = String(choice.childElementCount > 0);
  };
  const leaveIt = (): void => {
    const row = choosing?.row;
    close();
    if (row !== undefined) actions.back(row);
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
      actions.mark([{ row: row.n, stretches: [{ first: 1, last: row.p }] }]);
    };
    fill(
      choice,
      crews.length === 0 ? null : button(ROWS.ours, "", ours),
      button(crews.length === 0 ? SHELL.understood : ROWS.leaveIt, "", leave),
    );
  };
  const undoButtons = (of: readonly Action[]): HTMLButtonElement[] =>
    undoWords(of, actions.otherBlock).map(({ words, label }, at) =>
      button(words, at === 0 ? "undo" : "", () => {
        const action = of[at];
        if (action !== undefined) actions.undo(action);
      }, label),
    );
  toolBox.append(...tools.map((tool) => button(tool.words, "tool", () => toggle(tool))));
  box.addEventListener("keydown", (event) => {
    if (event.key === "Escape" && choice.childElementCount > 0) leaveIt();
  });
  drawTools();
  return {
    box,
    whole(row) {
      const left = stretchesLeft(row, book.runsOf(row.n), { first: 1, last: row.p });
      if (left.length === 0) return alreadyDone(row);
      close();
      actions.mark([{ row: row.n, stretches: left }]);
    },
    part(row, position, from) {
      close();
      said.say("");
      choosing = partChoice(row, position, from, {
        mark(parts) {
          close();
          actions.mark(parts);
        },
        leave: leaveIt,
        preview: (stretch) => actions.preview(row, stretch),
        runs: () => book.runsOf(row.n),
        again: (within) => againParts(book.waitingReturns(), row, within),
      });
      fill(choice, choosing.box);
      drawTools();
      choosing.focus();
    },
    say: (text, tone) => said.say(text, tone),
    offer(of, unsafe) {
      const shown = of.slice(0, KEPT);
      const now = JSON.stringify([unsafe, shown.map(({ at, block, marks }) => [at, block, marks.length])]);
      // only what changed is drawn: the keyboard may stand on one of the buttons
      if (now === offered) return;
      offered = now;
      const gone = inSight.some((at) => !of.some((action) => action.at === at));
      inSight = shown.map(({ at }) => at);
      fill(undos, unsafe ? button(SHELL.tryAgain, "main", actions.tryAgain) : null, ...undoButtons(shown));
      // after an undo the next one slips under the finger: it takes no second tap
      if (gone) {
        // what lies below moves up under the finger
        settle(undos);
        settle(toolBox);
      }
    },
    isChoosing: () => choosing !== null || panel !== null,
    focusUndo() {
      const lost = !document.activeElement || document.activeElement === document.body;
      if (lost && choosing === null) undos.querySelector<HTMLElement>(".undo")?.focus({ preventScroll: true });
    },
    leave: close,
  };
}
