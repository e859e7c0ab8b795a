/** Screens whose code is fetched when they are first shown: what a tablet opens with stays small. */

import { SHELL } from "../core/wording";
import { fill, h } from "../ui/dom";
import { emptyState } from "../ui/notice";
import { STILL, type Shown } from "./context";

/** Return the screen that `load` brings. Until it is there the page says so, and how to try again when it does not come. */
export function later<Given>(load: () => Promise<(root: HTMLElement, given: Given) => Shown>): (root: HTMLElement, given: Given) => Shown {
  return (root, given) => {
    let shown: Shown = STILL;
    let left = false;
    const fetchIt = async (): Promise<void> => {
      fill(root, h("p", {}, SHELL.loading));
      try {
        const screen = await load();
        if (!left) shown = screen(root, given);
      } catch {
        if (!left) fill(root, emptyState(SHELL.noAnswer, { label: SHELL.tryAgain, run: () => void fetchIt() }));
      }
    };
    void fetchIt();
    return {
      cursor: () => shown.cursor(),
      newer: (records) => shown.newer(records),
      leave() {
        left = true;
        shown.leave();
      },
    };
  };
}
