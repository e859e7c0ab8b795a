/** How the crew walks the block: first row, which way, from which end, and one row or both of an alley in a pass. */

import type { BlockShape } from "../../core/contracts";
import { farEndEighth } from "../../core/nearest-row";
import { COMPASS, WALK } from "../../core/rows-wording";
import { held } from "../../core/strip";
import type { RowEnd, Walk } from "../../core/walking";
import { h } from "../../ui/dom";
import { radioGroup } from "../../ui/field";
import { stepper } from "../../ui/stepper";
import type { Panel } from "./action-bar";

/** Return the panel of a block's rows. */
export function walkPanel(shape: BlockShape, now: Walk, use: (walk: Walk) => void): Panel {
  const { rows } = shape;
  const eighth = farEndEighth(shape, rows[0]?.n ?? 1);
  const numbers = rows.map(({ n }) => n);
  const first = stepper(WALK.startRow, { less: WALK.less, more: WALK.more }, () => undefined);
  first.set(held(now.startRow, Math.min(...numbers), Math.max(...numbers)), Math.min(...numbers), Math.max(...numbers));
  const endWords = (end: RowEnd): string => {
    const way = eighth === null ? null : (end === "far" ? eighth : eighth + 4) % COMPASS.length;
    return WALK.endWords(end, way === null ? "" : (COMPASS[way] ?? "")).trim();
  };
  const side = radioGroup(
    WALK.side,
    [
      { value: "up", label: WALK.up },
      { value: "down", label: WALK.down },
    ],
    now.toward,
  );
  const end = radioGroup(
    WALK.end,
    [
      { value: "first", label: endWords("first") },
      { value: "far", label: endWords("far") },
    ],
    now.startEnd,
  );
  const pass = radioGroup(
    WALK.pass,
    [
      { value: "1", label: WALK.one },
      { value: "2", label: WALK.two },
    ],
    String(now.rowsAtOnce),
  );
  const take = (): void =>
    use({
      startRow: first.value(),
      toward: side.value() === "down" ? "down" : "up",
      startEnd: end.value() === "far" ? "far" : "first",
      rowsAtOnce: pass.value() === "2" ? 2 : 1,
    });
  return {
    box: h(
      "div",
      { class: "walk-panel" },
      first.box,
      side.box,
      end.box,
      pass.box,
      h("button", { type: "button", class: "main", on: { click: take } }, WALK.use),
    ),
  };
}
