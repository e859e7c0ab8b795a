/** What can be taken away from the screens: paper to print, and files for other programs. */

import type { BlockSummary } from "../../core/contracts";
import { roleAt } from "../../core/who";
import { h } from "../../ui/dom";
import type { Context } from "../context";
import { printSection } from "../paper/print-section";
import { filesSection } from "./files-section";

/** Return both sections, as of a day. */
export function takeAway({ farm, request, who, go }: Context, day: string, blocks: readonly Pick<BlockSummary, "id" | "code" | "rows">[]): HTMLElement {
  const isManager = roleAt(who, farm.id) === "manager";
  return h("div", { class: "take-away" }, printSection({ farm: farm.id, day, blocks }), filesSection({ request, farm, day, isManager, go }));
}
