/** What changed between two contents, point by point: what was, and what is. */

import type { ChangedGroup } from "../../core/brief-differences";
import { COMPARE } from "../../core/briefs-wording";
import { h } from "../../ui/dom";

/** Return the list; a sentence where nothing changed. */
export function differencesList(groups: readonly ChangedGroup[]): HTMLElement {
  if (groups.length === 0) return h("p", {}, COMPARE.same);
  const head = h("tr", {}, ...[COMPARE.what, COMPARE.from, COMPARE.to].map((words) => h("th", { scope: "col" }, words)));
  const body = groups.map(({ title, lines }) =>
    h(
      "tbody",
      {},
      h("tr", {}, h("th", { scope: "rowgroup", colspan: 3, class: "changed-title" }, title)),
      ...lines.map(({ what, was, is }) =>
        h("tr", {}, h("th", { scope: "row" }, what), h("td", { class: "was" }, was), h("td", { class: "is" }, is)),
      ),
    ),
  );
  return h("table", { class: "changed" }, h("thead", {}, head), ...body);
}
