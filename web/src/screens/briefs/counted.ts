/** What was counted in the blocks of a brief, beside its bud target: limbs a tree can be taken over. */

import type { FarmCounts } from "../../core/contracts";
import { countedParts } from "../../core/counted-parts";
import { COUNTED } from "../../core/tally-wording";
import { SHELL } from "../../core/wording";
import { sentence, type Request } from "../../data/request";
import { fill, h } from "../../ui/dom";

/** Return the section over these blocks of a farm; `use` hears the limbs a tree that somebody takes over. */
export function counted(request: Request, farmId: string, blockIds: readonly string[], use: (limbsPerTree: number) => void): HTMLElement {
  const parts = h("div", { class: "counted-parts" }, h("p", {}, SHELL.loading));
  const read = async (): Promise<void> => {
    try {
      const found = countedParts(await request<FarmCounts>(`/farms/${encodeURIComponent(farmId)}/counts`), blockIds);
      fill(
        parts,
        found.length === 0 ? h("p", {}, COUNTED.none) : null,
        ...found.map(({ title, lines, limbs }) =>
          h(
            "div",
            { class: "counted-part" },
            h("h3", {}, title),
            h("ul", {}, ...lines.map((line) => h("li", {}, line))),
            limbs === null ? null : h("button", { type: "button", on: { click: () => use(limbs) } }, COUNTED.use(limbs)),
          ),
        ),
      );
    } catch (error) {
      fill(parts, h("p", { role: "alert" }, sentence(error, COUNTED.unread)));
    }
  };
  void read();
  return h("section", { class: "counted" }, h("h2", {}, COUNTED.title), parts);
}
