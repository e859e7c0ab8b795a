/** What waits for the manager, each with what to do. */

import type { BlockSummary, Overview } from "../../core/contracts";
import type { ScreenName } from "../../core/place";
import { OVERVIEW } from "../../core/wording";
import { h } from "../../ui/dom";
import type { Context } from "../context";

/** Return the list, or the sentence that nothing waits. */
export function needsYou({ figures, blocks }: Overview, context: Context): HTMLElement {
  const lines: HTMLElement[] = [];
  const line = (text: string, screen: ScreenName, where: readonly BlockSummary[]): HTMLElement => {
    const buttons = where.map(({ id, code }) =>
      h("button", { type: "button", on: { click: () => context.go({ screen, block: id }) } }, code),
    );
    return h("li", {}, text, buttons.length === 0 ? null : h("div", { class: "needs-blocks" }, ...buttons));
  };
  if (figures.overlap_trees > 0) {
    const where = blocks.filter((block) => block.overlap > 0);
    lines.push(line(OVERVIEW.overlap(figures.overlap_trees), "rows", where));
  }
  if (figures.set_aside > 0) lines.push(line(OVERVIEW.setAside(figures.set_aside), "rows", []));
  if (figures.lots.send_back > 0) {
    const where = blocks.filter((block) => block.verdict === "send_back");
    lines.push(line(OVERVIEW.sendBack(figures.lots.send_back), "checks", where));
  }
  return h(
    "section",
    { class: "needs-you" },
    h("h2", {}, OVERVIEW.needsYou),
    lines.length === 0
      ? h("p", {}, OVERVIEW.nothingToSettle)
      : h("ul", { class: "plain-list needs-list" }, ...lines),
  );
}
