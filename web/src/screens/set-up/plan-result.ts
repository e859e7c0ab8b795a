/** What the service worked out for a block: rows, trees, the textbook figure beside them, warnings. */

import { isComplete, openText, uponOf, type Draft } from "../../core/drafts";
import { IMPORT } from "../../core/set-up-wording";
import { h } from "../../ui/dom";

/** Return the lines to show. */
export function planResult(draft: Draft): HTMLElement[] {
  const { planned } = draft;
  if (!isComplete(draft)) return [h("p", {}, openText(draft))];
  if (planned === null) return [h("p", {}, IMPORT.planning)];
  if (planned.problem !== null) return [h("p", { class: "field-problem" }, planned.problem)];
  return [
    h("p", { class: "plan-count" }, IMPORT.result(planned.rows, planned.trees)),
    h("p", {}, `${IMPORT.length(planned.length_m)} ${IMPORT.perHa(planned.trees_per_ha, planned.textbook_trees_per_ha)}`),
    ...[
      ...planned.warnings,
      ...(uponOf(draft) === "" ? [] : [IMPORT.upon(uponOf(draft))]),
      ...planned.notes,
      ...(planned.to_outline ? [IMPORT.toOutline] : []),
    ].map((warning) => h("p", { class: "feature-note" }, warning)),
  ];
}
