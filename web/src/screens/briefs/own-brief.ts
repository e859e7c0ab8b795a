/** A brief for one block that differs from the rest of its variety. */

import type { BriefLine } from "../../core/brief-contracts";
import { BRIEFS } from "../../core/briefs-wording";
import type { BlockSummary } from "../../core/contracts";
import { h } from "../../ui/dom";
import { choiceField } from "../../ui/field";
import type { Context } from "../context";

/** Return the choice of a block without a brief of its own; nothing where there is none. */
export function ownBriefChoice({ go }: Context, blocks: readonly BlockSummary[], briefs: readonly BriefLine[]): HTMLElement | null {
  const owned = new Set(briefs.map(({ block_id }) => block_id));
  const free = blocks.filter(({ id }) => !owned.has(id));
  const [first] = free;
  if (first === undefined) return null;
  const names = free.map(({ id, code, variety }) => ({ value: id, label: [code, variety].filter(Boolean).join(", ") }));
  const block = choiceField(BRIEFS.pickBlock, names, first.id);
  const make = (event: Event): void => {
    event.preventDefault();
    go({ screen: "briefs", block: block.input.value });
  };
  return h(
    "section",
    {},
    h("h2", {}, BRIEFS.ownFor),
    h("p", {}, BRIEFS.ownWhy),
    h("form", { class: "form", on: { submit: make } }, block.box, h("button", { type: "submit" }, BRIEFS.make)),
  );
}
