/** Does the tablet stand at the tree? A warning at most; what it tells of its position is looked at and forgotten. */

import { WALK } from "../../core/check-walk-wording";
import type { BlockShape } from "../../core/contracts";
import { treeKey, type Tree } from "../../core/sample-trees";
import { placesOf } from "../../core/walk-places";
import { offTree_m } from "../../core/walk-way";
import { whereAmI } from "../../data/position";
import { h } from "../../ui/dom";
import { notice, type Tone } from "../../ui/notice";

export interface OffTree {
  button: HTMLElement;
  box: HTMLElement;
  /** The tree is being judged: whoever has asked once is warned from then on without asking. */
  begun(): void;
  clear(): void;
}

/** Return the button that asks, and the line that says how far off the tablet seems to be. */
export function offTreeWords(shape: BlockShape, tree: () => Tree | null): OffTree {
  const said = notice();
  /** Of which tree it was asked last. */
  let last: string | null = null;
  const ask = async (isWarning: boolean): Promise<void> => {
    const asked = tree();
    if (asked === null) return;
    last = treeKey(asked);
    const [words, tone] = await answerFor(shape, asked);
    const now = tree();
    if (now !== null && treeKey(now) === last && (!isWarning || tone === "bad")) said.say(words, tone);
  };
  return {
    button: h("button", { type: "button", on: { click: () => void ask(false) } }, WALK.whereAmI),
    box: said.box,
    begun() {
      const now = tree();
      if (last !== null && now !== null && treeKey(now) !== last) void ask(true);
    },
    clear: () => said.say(""),
  };
}

async function answerFor(shape: BlockShape, tree: Tree): Promise<[string, Tone]> {
  const found = await whereAmI(navigator.geolocation);
  if (found.state !== "found") return [WALK.noPosition, "plain"];
  const { lonlat, accuracy_m } = found.fix;
  const off = offTree_m(placesOf(shape, lonlat), tree, accuracy_m);
  return off === null ? [WALK.atTree, "plain"] : [WALK.offTree(off), "bad"];
}
