/** One row as a long strip: a tap means all that is left of it, the handle where the crew goes on is dragged to a tree. */

import type { Run, ShapeRow } from "../../core/contracts";
import { nextFrom, rowPieces, rowTally, type Stretch } from "../../core/coverage";
import { AGAIN } from "../../core/returns-wording";
import { ROWS } from "../../core/rows-wording";
import { edgeShare, held, positionAt } from "../../core/strip";
import type { RowEnd } from "../../core/walking";
import { fill, h, s } from "../../ui/dom";
import { stripPicture } from "../../ui/strip-picture";
import { draggable } from "./row-drag";

export interface RowStrip {
  box: HTMLElement;
  /** Show what became of the row, and what of it is to be gone over again. */
  update(runs: readonly Run[], again: RowAgain): void;
  /** The crew comes into the row from this end. */
  setFrom(end: RowEnd): void;
  /** Show what is about to be marked. */
  preview(stretch: Stretch | null): void;
  /** Say that the row is being saved or not saved, in place of its tally. */
  setFate(fate: RowFate): void;
  fate(): RowFate;
  isDone(): boolean;
  /** Put the keyboard on the row, or on the handle at its end. */
  focus(): void;
  focusEnd(): void;
}
/** `waiting`: safe on this device, not with the service yet. */
export type RowFate = "" | "saving" | "waiting" | "not-saved";
export interface RowAgain {
  trees: number;
  /** Names of the crews that were asked, the own one left out. */
  crews: readonly string[];
}
export interface RowActions {
  whole(): void;
  /** What is to be gone over again is done. */
  again(): void;
  /** The end was dragged to a position. */
  part(position: number): void;
}

/** Return the strip of a row, scaled so that the block's longest row spans it. */
export function rowStrip(row: ShapeRow, longest: number, actions: RowActions): RowStrip {
  let runs: readonly Run[] = [];
  let shown: Stretch | null = null;
  let fate: RowFate = "";
  let dragged = false;
  let again = 0;
  let comesFrom: RowEnd = "first";
  const next = (): number => held(nextFrom(row, runs, comesFrom), 1, row.p);
  const picture = stripPicture(longest);
  const arrow = h("span", { class: "row-arrow", "aria-hidden": "true" });
  const walked = h("span", { class: "unseen" });
  const number = h(
    "span",
    { class: "row-number" },
    h("span", { class: "unseen" }, ROWS.rowWord),
    String(row.n),
    walked,
    arrow,
  );
  const tallyText = h("span", { class: "row-tally" });
  const ground = h("span", { class: "strip-ground" }, picture.box);
  const tap = h(
    "button",
    { type: "button", class: "row-tap", on: { click: () => actions.whole() } },
    number,
    ground,
    tallyText,
  );
  const handle = h("button", {
    type: "button",
    class: "row-handle",
    "aria-label": ROWS.dragLabel(row.n),
    on: {
      // a drag ends in a click too, which must not move the end again
      click: (event: MouseEvent) => {
        if (event.detail === 0 || !dragged) actions.part(next());
      },
    },
  });
  const rail = h("span", { class: "handle-rail" }, handle);
  const againTap = h("button", { type: "button", class: "row-again", hidden: true, on: { click: () => actions.again() } });
  const box = h("li", { class: "row-strip" }, tap, rail, againTap);

  const draw = (): void => {
    const extra =
      shown === null
        ? []
        : [
            s("line", {
              x1: `${100 * edgeShare(shown.first, longest)}%`,
              x2: `${100 * edgeShare(shown.last + 1, longest)}%`,
              y1: "50%",
              y2: "50%",
              class: "strip-preview",
            }),
          ];
    picture.draw(rowPieces(row, runs), extra);
    const edge =
      comesFrom === "first"
        ? (shown === null ? nextFrom(row, runs, "first") : shown.last + 1)
        : (shown === null ? nextFrom(row, runs, "far") + 1 : shown.first);
    handle.style.left = `${100 * edgeShare(edge, longest)}%`;
  };
  const drawTally = (): void => {
    if (fate === "saving" || fate === "not-saved") {
      const words = fate === "saving" ? ROWS.rowSaving : ROWS.rowNotSaved;
      fill(tallyText, h("strong", {}, words), h("span", { class: "unseen" }, fate === "saving" ? "" : ROWS.rowSendAgain));
      return;
    }
    const { pruned, trees, overlap } = rowTally(row, runs);
    fill(
      tallyText,
      pruned >= trees && again > 0 ? AGAIN.tally(again) : ROWS.rowState(pruned, trees),
      h("span", { class: "unseen" }, ROWS.rowTap(pruned, trees)),
      overlap > 0 ? h("span", { class: "row-overlap" }, ROWS.overlapNote(overlap)) : null,
      fate === "waiting" ? h("span", { class: "row-waits" }, ROWS.rowWaits) : null,
    );
  };
  draggable(handle, rail, (x, width) => positionAt(x, width, longest, row.p), () => (comesFrom === "first" ? 1 : -1), {
    begun() {
      dragged = false;
    },
    moved(position) {
      dragged = true;
      const [a, b] = [next(), position];
      // back over what is pruned it follows the finger alone
      const behind = comesFrom === "first" ? b < a : b > a;
      shown = behind ? { first: b, last: b } : { first: Math.min(a, b), last: Math.max(a, b) };
      handle.dataset["position"] = String(position);
      draw();
    },
    dropped(position) {
      delete handle.dataset["position"];
      if (shown !== null) actions.part(position);
    },
    left() {
      delete handle.dataset["position"];
      shown = null;
      draw();
    },
  });
  const setFrom = (end: RowEnd): void => {
    comesFrom = end;
    box.dataset["from"] = end;
    arrow.textContent = end === "first" ? "→" : "←";
    walked.textContent = ROWS.walkedFrom(end);
    draw();
  };
  setFrom("first");
  return {
    box,
    setFrom,
    update(fresh, now) {
      runs = fresh;
      again = now.trees;
      const { pruned, trees } = rowTally(row, runs);
      const isDone = pruned >= trees && again === 0;
      rail.hidden = isDone;
      box.dataset["done"] = String(isDone);
      againTap.hidden = again === 0;
      const words = now.crews.length === 0 ? AGAIN.row(again) : AGAIN.rowOf(again, now.crews.join(", "));
      againTap.textContent = again === 0 ? "" : words;
      againTap.setAttribute("aria-label", AGAIN.rowLabel(row.n, words));
      drawTally();
      draw();
    },
    preview(stretch) {
      if (shown === null && stretch === null) return;
      shown = stretch;
      box.dataset["choosing"] = String(stretch !== null);
      draw();
    },
    setFate(now) {
      if (fate === now) return;
      fate = now;
      box.dataset["fate"] = now;
      drawTally();
    },
    fate: () => fate,
    focus: () => tap.focus({ preventScroll: true }),
    focusEnd: () => handle.focus({ preventScroll: true }),
    isDone: () => rail.hidden === true,
  };
}
