/** The list a foreman or an auditor picks a block from. A closed block cannot be opened and says until when. */

import type { BlockSummary } from "../core/contracts";
import { momentText } from "../core/numbers";
import { ROWS } from "../core/rows-wording";
import { h } from "../ui/dom";
import { ringPicture } from "../ui/legend-signs";
import { notice } from "../ui/notice";

export interface PickerWords {
  title: string;
  line(block: BlockSummary): string;
}

/** Order blocks by their code, K2 before K10. */
export function byCode(a: BlockSummary, b: BlockSummary): number {
  return a.code.localeCompare(b.code, "en", { numeric: true });
}

/** Return why a block cannot be opened now, said where it is seen first. */
export function closedNote({ code, closed }: BlockSummary, timeZone: string): HTMLElement {
  const said = notice();
  if (closed !== null) said.say(`${code}: ${ROWS.closed(momentText(closed.until, timeZone), closed.reason)}`, "bad");
  return said.box;
}

/** Return the list of blocks. */
export function blockPicker(
  blocks: readonly BlockSummary[],
  timeZone: string,
  words: PickerWords,
  pick: (block: BlockSummary) => void,
): HTMLElement {
  const items = blocks.map((block) => {
    const title = h("span", { class: "block-code" }, block.code);
    const about = [block.name === block.code ? "" : block.name, block.variety ?? ""].filter((part) => part !== "");
    const text = h(
      "span",
      { class: "block-text" },
      h("span", { class: "block-about" }, about.join(", ")),
      h("span", {}, words.line(block)),
      block.closed === null
        ? null
        : h(
            "strong",
            { class: "block-closed" },
            ROWS.closed(momentText(block.closed.until, timeZone), block.closed.reason),
          ),
    );
    const ring = ringPicture(block.trees > 0 ? block.pruned / block.trees : 0, block.verdict);
    return h(
      "li",
      {},
      h(
        "button",
        {
          type: "button",
          class: "block-choice",
          disabled: block.closed !== null,
          on: { click: () => pick(block) },
        },
        ring,
        title,
        text,
      ),
    );
  });
  return h("section", {}, h("h2", {}, words.title), h("ul", { class: "block-choices plain-list" }, ...items));
}
