/** The rows of a lot drawn as strips side by side, with a bud on each tree that was drawn. */

import type { BlockShape, BlockState } from "../../core/contracts";
import type { FullLot, LotTree, TreeRun } from "../../core/quality-contracts";
import { LOT } from "../../core/quality-lot-wording";
import { h, s } from "../../ui/dom";
import { bud } from "../../ui/legend-signs";
import type { Desk } from "./desk";

const ROW_HEIGHT = { few: 16, many: 10 } as const;
const WIDTH = 720;
const LEFT = 44;
const BUD_SCALE = { few: 0.62, many: 0.46 } as const;
/** Where there are many rows they are drawn small, and every so many have their number. */
const NUMBERED = 5;
const FEW_ROWS = 24;

/** Return the runs of the lot's trees; where they are not told, of what is pruned. */
function runsOf(lot: FullLot, state: BlockState): TreeRun[] {
  return lot.runs ?? state.runs.map(([row, first, last]) => [row, first, last]);
}

function signOf({ check, not_judged = null }: LotTree): SVGElement {
  if (check !== null) return bud(check.verdict, true);
  return not_judged === null ? s("circle", { class: "lot-due", r: 8 }) : s("path", { class: "lot-not-judged", d: "M-7,-7 L7,7 M-7,7 L7,-7" });
}

function drawRows(lot: FullLot, { shape, runs }: LotRows): SVGSVGElement {
  const drawn = new Map(lot.trees.map((tree) => [`${tree.row} ${tree.position}`, tree]));
  const used = new Set([...(lot.runs ?? []).map(([row]) => row), ...lot.trees.map(({ row }) => row)]);
  const isUsed = shape.rows.map(({ n }) => used.has(n));
  const rows = shape.rows.slice(Math.max(0, isUsed.indexOf(true)), isUsed.lastIndexOf(true) + 1);
  const longest = Math.max(1, ...rows.map(({ p }) => p));
  const x = (edge: number): number => (WIDTH * edge) / longest;
  const size = rows.length <= FEW_ROWS ? "few" : "many";
  const height = ROW_HEIGHT[size];
  const pictures = rows.map(({ n, p }, at) => {
    const here = runs.filter(([row]) => row === n);
    const trees = Array.from({ length: p }, (_, index) => drawn.get(`${n} ${index + 1}`)).filter((tree) => tree !== undefined);
    const isNumbered = size === "few" || n % NUMBERED === 0 || at === 0;
    return s(
      "g",
      { transform: `translate(0 ${(at + 0.5) * height})` },
      isNumbered ? s("text", { x: -8, y: 5, "text-anchor": "end" }, String(n)) : null,
      s("line", { class: "lot-row", x1: 0, x2: x(p), y1: 0, y2: 0 }),
      ...here.map(([, first, last]) => s("line", { class: "lot-run", x1: x(first - 1), x2: x(last), y1: 0, y2: 0 })),
      ...trees.map((tree) =>
        s(
          "g",
          { transform: `translate(${x(tree.position - 0.5)} 0) scale(${BUD_SCALE[size]})` },
          signOf(tree),
        ),
      ),
    );
  });
  return s(
    "svg",
    { class: "lot-picture", viewBox: `${-LEFT} 0 ${LEFT + WIDTH + 8} ${rows.length * height}`, role: "img", "aria-label": LOT.picture },
    ...pictures,
  );
}

/** Rows of a block as they stand, and the runs of the lot's trees in them. */
export interface LotRows {
  shape: BlockShape;
  runs: readonly TreeRun[];
}

/** Read the rows that a lot lies in. Raises Problem where they cannot be read. */
export async function lotRows(lot: FullLot, version: string, { context }: Desk): Promise<LotRows> {
  const { api, farm } = context;
  const [shape, state] = await Promise.all([api.shape(lot.block_id, version), api.state(lot.block_id, farm.today)]);
  return { shape, runs: runsOf(lot, state) };
}

/** Return the picture. */
export function lotPicture(lot: FullLot, rows: LotRows): HTMLElement {
  return h("div", { class: "lot-rows" }, drawRows(lot, rows), h("p", { class: "quality-hint" }, LOT.pictureKey));
}
