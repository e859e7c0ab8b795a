/** The way to the counting of trees: its code is fetched when it is first wanted, and kept for days without a signal. */

import { SHELL } from "../../core/wording";
import { fill, h } from "../../ui/dom";
import type { Context } from "../context";
import type { CountingGiven } from "./counting";

/** Open the counting over the screen; `closed` hears when it was left. Whoever leaves the screen leaves it too. */
export function countTool(context: Context, given: CountingGiven, closed: () => void): { box: HTMLElement; leave(): void } {
  const box = h("div", {}, SHELL.loading);
  let shut = (): void => undefined;
  let left = false;
  const open = async (): Promise<void> => {
    try {
      const { openCounting } = await import("./counting");
      if (!left) shut = openCounting(context, given, closed);
    } catch {
      fill(box, SHELL.noAnswer);
    }
  };
  void open();
  return {
    box,
    leave() {
      left = true;
      shut();
    },
  };
}
