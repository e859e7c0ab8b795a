/** Panels whose code is fetched when they are first opened: what a tablet opens with stays small. */

import { SHELL } from "../../core/wording";
import { fill, h } from "../../ui/dom";
import type { Panel } from "./action-bar";

/** Return a panel that shows what `load` brings, or says that nothing came. */
export function laterPanel(load: () => Promise<Panel>): Panel {
  const box = h("div", {}, SHELL.loading);
  let leave: Panel["leave"];
  let left = false;
  load().then(
    (panel) => {
      if (left) return panel.leave?.();
      leave = panel.leave;
      fill(box, panel.box);
      box.scrollIntoView({ block: "nearest" }); // it is larger now than when it was opened
    },
    () => fill(box, SHELL.noAnswer),
  );
  return {
    box,
    leave() {
      left = true;
      leave?.();
    },
  };
}
