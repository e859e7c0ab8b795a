/** One line of the list: a variety, or a block, and how its brief stands. */

import type { BriefLine } from "../../core/brief-contracts";
import { sourceParts, type OwnBrief, type VarietyLine } from "../../core/brief-list";
import { stateWords } from "../../core/brief-state";
import { BRIEFS } from "../../core/briefs-wording";
import type { BlockSummary, Variety } from "../../core/contracts";
import { HABIT } from "../../core/wording";
import { h } from "../../ui/dom";
import type { Context } from "../context";
import { placeLink } from "../place-link";

function openLink({ go }: Context, brief: BriefLine, name: string): HTMLElement {
  const to = { screen: "briefs", block: null, brief: brief.id } as const;
  return placeLink(to, BRIEFS.open, go, { class: "button", "aria-label": BRIEFS.openFor(name) });
}

function line(title: string, words: readonly (string | HTMLElement)[], action: HTMLElement, more: HTMLElement | null = null): HTMLElement {
  const told = words.map((text) => (typeof text === "string" ? h("p", {}, text) : text));
  return h("li", { class: "brief-line" }, h("div", { class: "brief-line-words" }, h("h3", {}, title), ...told), action, more);
}

function habitWords({ habit, habit_source }: Variety): HTMLElement {
  if (habit === "unknown" && habit_source === "") return h("p", {}, BRIEFS.habit(HABIT[habit]));
  const sources = sourceParts(habit_source === "" ? BRIEFS.noSource : habit_source).map(({ words, address }) =>
    address === null ? words : h("a", { href: address, target: "_blank", rel: "noreferrer" }, words),
  );
  const listed = sources.flatMap((source, at) => (at === 0 ? [source] : ["; ", source]));
  return h("p", {}, `${BRIEFS.habit(HABIT[habit])} ${BRIEFS.habitSource} `, ...listed);
}

/** Return the line of a block with a brief of its own. */
export function ownLine(context: Context, { block, brief }: OwnBrief): HTMLElement {
  const name = BRIEFS.bare(block.code);
  return line(name, [stateWords(brief, context.farm.time_zone)], openLink(context, brief, name));
}

/** Return the line of a block without variety and without brief. */
export function bareLine({ go }: Context, block: BlockSummary): HTMLElement {
  const name = BRIEFS.bare(block.code);
  const make = placeLink({ screen: "briefs", block: block.id }, BRIEFS.make, go, { class: "button", "aria-label": BRIEFS.makeFor(name) });
  return line(name, [BRIEFS.bareWhy], make);
}

/** Return the line of a variety, with the form of its `habit` and the blocks of it that have their own brief below. */
export function varietyLine(context: Context, { variety, brief, blocks, trees, own }: VarietyLine, habit: HTMLElement): HTMLElement {
  const { name, id } = variety;
  const words = [
    stateWords(brief, context.farm.time_zone),
    habitWords(variety),
    blocks.length === 0 ? BRIEFS.noBlocks : BRIEFS.blocks(blocks.map(({ code }) => code).join(", "), trees),
    habit,
  ];
  const to = { screen: "briefs", block: null, variety: id } as const;
  const action =
    brief === null
      ? placeLink(to, BRIEFS.make, context.go, { class: "button", "aria-label": BRIEFS.makeFor(name) })
      : openLink(context, brief, name);
  const below = own.length === 0 ? null : h("ul", { class: "plain-list brief-own" }, ...own.map((one) => ownLine(context, one)));
  return line(name, words, action, below);
}
