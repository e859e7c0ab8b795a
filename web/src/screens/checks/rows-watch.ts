/** Says that the rows of an open block were changed, and offers to show them as they are now: nothing moves under whoever judges a tree. */

import { CHECKS } from "../../core/checks-wording";
import type { BlockShape } from "../../core/contracts";
import { fill, h } from "../../ui/dom";
import { notice } from "../../ui/notice";
import type { Context } from "../context";

/** Return the look at the rows, to be made when the block has news; what it finds stands in `box`, and `anew` shows the block again. */
export function rowsWatch(box: HTMLElement, { api }: Context, shape: BlockShape, anew: () => void): () => Promise<void> {
  let isTold = false;
  return async () => {
    const { shape_version: now } = await api.log(shape.id).catch(() => ({ shape_version: undefined }));
    if (isTold || now === undefined || now === shape.version) return;
    isTold = true;
    const said = notice();
    said.say(CHECKS.rowsChanged, "bad");
    fill(box, h("div", { class: "walk-gone" }, said.box, h("button", { type: "button", on: { click: anew } }, CHECKS.showRows)));
  };
}
