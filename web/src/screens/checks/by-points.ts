/** A tree seen while walking, judged point by point: what is found gives the verdict, and one button saves it. */

import type { BriefVersion } from "../../core/brief-contracts";
import { WALK } from "../../core/check-walk-wording";
import type { Finding, TreeVerdict } from "../../core/contracts";
import { freshTree, judged, withAnswer, withRestYes, type TreeDraft } from "../../core/walk-draft";
import { fill, h } from "../../ui/dom";
import { briefParts } from "../brief/block-brief";
import type { Context } from "../context";
import { walkPoints } from "./walk-points";
import "./walk.css";

export interface ByPoints {
  /** Opens and shuts the points. */
  button: HTMLElement;
  box: HTMLElement;
  /** What was found, or undefined where the verdict is given at a glance. */
  findings(): Finding[] | undefined;
  /** Another tree: nothing is answered. */
  reset(): void;
}
/** The one verdict that what was found gives; `none` before enough is said, null where any may be given. */
export type OnlyVerdict = TreeVerdict | "none" | null;

/** Return the points of a block's brief; `narrowed` hears which verdict they leave. */
export function byPoints(context: Context, block: string, brief: BriefVersion, narrowed: (only: OnlyVerdict) => void): ByPoints {
  const { points } = brief.content;
  const nothing = freshTree({ row: 0, position: 0 }, "");
  let tree: TreeDraft = nothing;
  let isOpen = false;
  let list: ReturnType<typeof walkPoints> | null = null;
  const box = h("section", { class: "by-points" });
  const allYes = h("button", { type: "button", class: "by-points-all", on: { click: () => take(withRestYes(tree, points)) } });
  const draw = (): void => {
    list?.draw(tree);
    const { verdict, isBegun, isEnough } = judged(tree, points);
    allYes.textContent = WALK.allYes(isBegun);
    narrowed(!isOpen ? null : isEnough ? verdict : "none");
  };
  const take = (changed: TreeDraft): void => {
    tree = changed;
    draw();
  };
  const open = async (): Promise<void> => {
    const drawings = await briefParts(context, block).then((parts) => parts.drawings).catch(() => new Map<string, string>());
    if (!isOpen) return;
    list = walkPoints(brief, drawings, (key, answer) => take(withAnswer(tree, key, answer)));
    fill(box, allYes, list.box);
    draw();
  };
  const toggle = (): void => {
    isOpen = !isOpen;
    button.setAttribute("aria-expanded", String(isOpen));
    tree = nothing;
    if (isOpen) void open();
    else fill(box);
    draw();
  };
  const button = h("button", { type: "button", "aria-expanded": "false", on: { click: toggle } }, WALK.byPoints);
  return { button, box, findings: () => (isOpen ? tree.findings : undefined), reset: () => take(nothing) };
}
