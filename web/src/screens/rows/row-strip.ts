/** One row as a long strip: a tap means all that is left of it, the handle at its end is dragged to a tree. */

import type { Run, ShapeRow } from "../../core/contracts";
import { prunedFromFirstEnd, rowPieces, rowTally, type Stretch } from "../../core/coverage";
import { edgeShare, held, positionAt } from "../../core/strip";
import { ROWS } from "../../core/rows-wording";
import { fill, h, s } from "../../ui/dom";
import { stripPicture } from "../../ui/strip-picture";

export interface RowStrip {
  box: HTMLElement;
  update(runs: readonly Run[]): void;
  /** Show what is about to be marked. */
  preview(stretch: Stretch | null): void;
  /** Say that the row is being saved or not saved, in place of its tally. */
  setFate(fate: RowFate): void;
  fate(): RowFate;
  isDone(): boolean;
  /** Put the keyboard on the handle at the row's end. */
  focusEnd(): void;
}
export type RowFate = "" | "saving" | "not-saved";
export interface RowActions {
  whole(): void;
  /** The end was dragged to the position `last`. */
  part(last: number): void;
}

const SIDEWAYS_PX = 12;

/** Let `handle` be dragged along `ground`; `moved` hears the position under it, `dropped` the last one, `left` a drag given up. */
function draggable(
  handle: HTMLElement,
  ground: Element,
  at: (xPx: number, widthPx: number) => number,
  heard: { begun(): void; moved(position: number): void; dropped(position: number): void; left(): void },
): void {
  let dragging: number | null = null;
  let from = 0;
  let begun = false;
  const position = (event: PointerEvent): number => {
    const frame = ground.getBoundingClientRect();
    return at(event.clientX - frame.left, frame.width);
  };
  handle.addEventListener("pointerdown", (event) => {
    if (event.button !== 0) return;
    dragging = event.pointerId;
    from = event.clientX;
    begun = false;
    heard.begun();
    handle.setPointerCapture(event.pointerId);
  });
  handle.addEventListener("pointermove", (event) => {
    if (dragging !== event.pointerId) return;
    // a thumb that scrolls down the edge moves sideways too, a little
    begun = begun || Math.abs(event.clientX - from) > SIDEWAYS_PX;
    if (begun) heard.moved(position(event));
  });
  handle.addEventListener("pointerup", (event) => {
    if (dragging !== event.pointerId) return;
    dragging = null;
    if (!begun) return;
    if (event.clientX < from - SIDEWAYS_PX) heard.left();
    else heard.dropped(position(event));
  });
  handle.addEventListener("pointercancel", () => {
    dragging = null;
    if (begun) heard.left();
  });
}

/** Return the strip of a row, scaled so that the block's longest row spans it. */
export function rowStrip(row: ShapeRow, longest: number, actions: RowActions): RowStrip {
  let runs: readonly Run[] = [];
  let shown: Stretch | null = null;
  let fate: RowFate = "";
  let dragged = false;
  const picture = stripPicture(longest);
  const number = h("span", { class: "row-number" }, h("span", { class: "unseen" }, ROWS.rowWord), String(row.n));
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
        if (event.detail === 0 || !dragged) actions.part(held(prunedFromFirstEnd(row, runs) + 1, 1, row.p));
      },
    },
  });
  const rail = h("span", { class: "handle-rail" }, handle);
  const box = h("li", { class: "row-strip" }, tap, rail);

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
    const end = shown === null ? prunedFromFirstEnd(row, runs) : shown.last;
    handle.style.left = `${100 * edgeShare(end + 1, longest)}%`;
  };
  const drawTally = (): void => {
    if (fate !== "") {
      const words = fate === "saving" ? ROWS.rowSaving : ROWS.rowNotSaved;
      fill(tallyText, h("strong", {}, words), h("span", { class: "unseen" }, fate === "saving" ? "" : ROWS.rowSendAgain));
      return;
    }
    const { pruned, trees, overlap } = rowTally(row, runs);
    fill(
      tallyText,
      ROWS.rowState(pruned, trees),
      h("span", { class: "unseen" }, ROWS.rowTap(pruned, trees)),
      overlap > 0 ? h("span", { class: "row-overlap" }, ROWS.overlapNote(overlap)) : null,
    );
  };
  draggable(handle, rail, (x, width) => positionAt(x, width, longest, row.p), {
    begun() {
      dragged = false;
    },
    moved(position) {
      dragged = true;
      const done = prunedFromFirstEnd(row, runs);
      shown = { first: Math.min(done + 1, position), last: position };
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
  return {
    box,
    update(fresh) {
      runs = fresh;
      const { pruned, trees } = rowTally(row, runs);
      rail.hidden = pruned >= trees;
      box.dataset["done"] = String(pruned >= trees);
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
    focusEnd: () => handle.focus({ preventScroll: true }),
    isDone: () => rail.hidden === true,
  };
}
