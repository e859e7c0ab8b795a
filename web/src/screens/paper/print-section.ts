/** What can be printed of a farm as of a day, each one click away: wall map, weekly report, crew sheets. */

import type { BlockSummary } from "../../core/contracts";
import { dayText } from "../../core/numbers";
import { PAPER } from "../../core/paper-wording";
import { crewSheetAddress, wallMapAddress, weeklyAddress } from "../../data/paper-api";
import { fill, h } from "../../ui/dom";
import { choiceField } from "../../ui/field";
import "../../ui/line-buttons.css";

const SIZES = ["a3", "a2"] as const;

export interface ToPrint {
  farm: string;
  day: string;
  blocks: readonly Pick<BlockSummary, "id" | "code" | "rows">[];
}

function link(words: string, href: string): HTMLElement {
  return h("a", { class: "button", href, target: "_blank", rel: "noopener", "aria-label": `${words}, ${PAPER.opens}` }, words);
}

/** Return the section. Draw it anew where the day or the blocks are others. */
export function printSection({ farm, day, blocks }: ToPrint): HTMLElement {
  const planted = blocks.filter(({ rows }) => rows > 0);
  const choices = planted.map(({ id, code, rows }) => ({ value: id, label: PAPER.blockLine(code, rows) }));
  const block = choiceField(PAPER.block, choices, choices[0]?.value ?? "");
  const ofBlock = h("div", { class: "line-buttons" });
  const draw = (): void => {
    const id = block.input.value;
    fill(
      ofBlock,
      link(PAPER.crewSheet, crewSheetAddress(farm, day, id, false)),
      link(PAPER.onlyLeft, crewSheetAddress(farm, day, id, true)),
      link(PAPER.blockMap, wallMapAddress(farm, day, "a4", id)),
    );
  };
  block.input.addEventListener("change", draw);
  draw();
  return h(
    "section",
    { class: "print-section", "aria-label": PAPER.title },
    h("h2", {}, PAPER.title),
    h("p", {}, PAPER.lead(dayText(day))),
    h("p", { class: "wait" }, PAPER.wait),
    h(
      "div",
      { class: "line-buttons" },
      ...SIZES.map((size) => link(PAPER.wallMap(size.toUpperCase()), wallMapAddress(farm, day, size))),
      link(PAPER.weekly, weeklyAddress(farm, day)),
    ),
    planted.length === 0 ? null : h("div", { class: "of-block" }, block.box, ofBlock),
  );
}
