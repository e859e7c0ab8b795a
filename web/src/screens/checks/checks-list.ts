/** The checks of a block, newest first. */

import type { CheckLine } from "../../core/contracts";
import { dayText } from "../../core/numbers";
import { WALK } from "../../core/check-walk-wording";
import { CHECKS } from "../../core/checks-wording";
import { TREE_VERDICT } from "../../core/wording";
import { fill, h } from "../../ui/dom";
import { budPicture } from "../../ui/legend-signs";

const MOST = 100;

export interface ChecksList {
  box: HTMLElement;
  draw(checks: readonly CheckLine[]): void;
}

function line([, row, position, verdict, day, auditor, note, drawn, , , , isSecond]: CheckLine, isReplaced: boolean): HTMLElement {
  const how = isSecond ? WALK.secondLook : drawn ? CHECKS.drawn : CHECKS.seen;
  const rest = [TREE_VERDICT[verdict], dayText(day), auditor ?? "", how.toLowerCase(), note, isReplaced ? CHECKS.replaced : ""].filter(
    (part) => part !== "",
  );
  return h(
    "li",
    {},
    budPicture(verdict),
    h("span", {}, h("strong", {}, CHECKS.line(row, position)), h("br"), rest.join(" · ")),
  );
}

/** Return the checks, newest first. Ids are UUIDv7, so their order is the order in which the checks were made. */
export function newestFirst(checks: readonly CheckLine[]): CheckLine[] {
  return [...checks].sort((a, b) => b[4].localeCompare(a[4]) || b[0].localeCompare(a[0]));
}

/** Tell whether a check is a second look: it stands beside the first one and takes no place. */
export function isSecondLook(check: CheckLine): boolean {
  return check[11] ?? false;
}

/** Return the list. */
export function checksList(): ChecksList {
  const box = h("section", { class: "checks-list" });
  return {
    box,
    draw(checks) {
      const newest = newestFirst(checks).slice(0, MOST);
      const seen = new Set<string>();
      const lines = newest.map((check) => {
        const tree = `${check[1]}:${check[2]}`;
        const isReplaced = !isSecondLook(check) && seen.has(tree);
        if (!isSecondLook(check)) seen.add(tree);
        return line(check, isReplaced);
      });
      fill(
        box,
        h("h2", {}, CHECKS.list),
        newest.length === 0 ? h("p", {}, CHECKS.none) : h("ul", { class: "plain-list" }, ...lines),
      );
    },
  };
}
