/** The list a foreman or an auditor picks a block from. A closed block cannot be opened and says until when. */

import type { BlockSummary } from "../core/contracts";
import { momentText } from "../core/numbers";
import { QUEUE } from "../core/queue-wording";
import { ROWS } from "../core/rows-wording";
import { fill, h } from "../ui/dom";
import { ringPicture } from "../ui/legend-signs";
import { notice } from "../ui/notice";

/** How old what is on this device is: null for a block that is not here. */
export interface PickerGround {
  age(block: BlockSummary): string | null;
  listen(changed: () => void): () => void;
}
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
  ground: PickerGround,
  pick: (block: BlockSummary) => void,
): HTMLElement {
  const age = h("p", { class: "pack-age" });
  const missing = new Map(blocks.map((block) => [block, h("span", { class: "pack-none" }, QUEUE.packNone)]));
  const drawAges = (): void => {
    const ages = blocks.flatMap((block) => ground.age(block) ?? []).sort();
    const [oldest] = ages;
    age.hidden = oldest === undefined;
    if (oldest !== undefined) fill(age, QUEUE.packs(ages.length, blocks.length, momentText(oldest, timeZone)));
    // before anything is here there is nothing to tell apart
    for (const [block, note] of missing) note.hidden = oldest === undefined || ground.age(block) !== null;
  };
  const stop = ground.listen(() => (age.isConnected ? drawAges() : stop()));
  drawAges();
  const items = blocks.map((block) => {
    const title = h("span", { class: "block-code" }, block.code);
    const about = [block.name === block.code ? "" : block.name, block.variety ?? ""].filter((part) => part !== "");
    const text = h(
      "span",
      { class: "block-text" },
      h("span", { class: "block-about" }, about.join(", ")),
      h("span", {}, words.line(block)),
      missing.get(block) ?? null,
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
  return h("section", {}, h("h2", {}, words.title), age, h("ul", { class: "block-choices plain-list" }, ...items));
}
