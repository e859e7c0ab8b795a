/** What the lines of the strips mean; overlap and again only where the block has them. */

import type { Run, ShapeRow } from "../../core/contracts";
import type { PieceKind } from "../../core/coverage";
import { ROWS } from "../../core/rows-wording";
import { h } from "../../ui/dom";
import { stripPicture } from "../../ui/strip-picture";

const POINTS: ReadonlySet<PieceKind> = new Set(["blank", "pollinizer"]);

/** Return the key; only what the block has is in it. */
export function stripKey(runs: readonly Run[], rows: readonly ShapeRow[]): HTMLElement {
  const kinds: (PieceKind & keyof typeof ROWS.legend)[] = ["pruned", "left"];
  if (runs.some((run) => run[3] === 2)) kinds.push("overlap");
  if (runs.some((run) => run[3] === 3)) kinds.push("again");
  if (rows.some((row) => (row.blanks ?? []).length > 0)) kinds.push("blank");
  if (rows.some((row) => (row.pollinizers ?? []).length > 0)) kinds.push("pollinizer");
  return h(
    "ul",
    { class: "strip-key plain-list" },
    ...kinds.map((kind) => {
      const picture = stripPicture(1);
      picture.draw([{ kind, first: 1, last: 1 }]);
      return h("li", {}, h("span", { class: POINTS.has(kind) ? "key-line key-point" : "key-line" }, picture.box), ROWS.legend[kind]);
    }),
  );
}
