/** The season's briefs by variety: what lacks one first, each with the button that mends it. */

import type { BriefLine } from "../../core/brief-contracts";
import { briefList, listParts, notTakenOver, seasonBefore, type BriefList, type OwnBrief, type VarietyLine } from "../../core/brief-list";
import { BRIEFS } from "../../core/briefs-wording";
import type { Season, Variety } from "../../core/contracts";
import type { BriefsApi } from "../../data/briefs-api";
import { fill, h } from "../../ui/dom";
import { emptyState, notice } from "../../ui/notice";
import { STILL, type Context, type Shown } from "../context";
import { habitChange } from "./habit-change";
import { bareLine, ownLine, varietyLine } from "./list-lines";
import { newVariety } from "./new-variety";
import { ownBriefChoice } from "./own-brief";
import { drawRead } from "./reading";
import { seasonCopy } from "./season-copy";
import { blocksOf } from "./subject";

function lists(context: Context, list: BriefList, habit: (variety: Variety) => HTMLElement): (HTMLElement | null)[] {
  const { needed, unpublished, published } = listParts(list);
  const varieties = (some: readonly VarietyLine[]): HTMLElement[] => some.map((line) => varietyLine(context, line, habit(line.variety)));
  const blocks = (some: readonly OwnBrief[]): HTMLElement[] => some.map((own) => ownLine(context, own));
  const part = (title: string, lines: readonly HTMLElement[]): HTMLElement | null =>
    lines.length === 0 ? null : h("section", {}, h("h2", {}, title), h("ul", { class: "plain-list brief-lines" }, ...lines));
  const parts = [
    part(BRIEFS.needed, [...varieties(needed.varieties), ...needed.blocks.map((block) => bareLine(context, block))]),
    part(BRIEFS.unpublished, [...varieties(unpublished.varieties), ...blocks(unpublished.blocks)]),
  ];
  return [
    ...parts,
    parts.every((one) => one === null) ? h("p", { class: "notice", "data-tone": "good" }, BRIEFS.allThere) : null,
    part(BRIEFS.there, [...varieties(published.varieties), ...blocks(published.blocks)]),
  ];
}

/** Show the list. */
export function showList(root: HTMLElement, context: Context, api: BriefsApi, season: Season): Shown {
  const box = h("div", { class: "brief-list" });
  const said = notice();
  said.box.tabIndex = -1;
  const { farm } = context;
  const before = seasonBefore(farm.seasons, season);
  const read = async () => {
    const [{ briefs }, { cultivars }, blocks, earlier] = await Promise.all([
      api.briefs(farm.id, season.id),
      api.cultivars(),
      blocksOf(context),
      before === null ? ([] as BriefLine[]) : api.briefs(farm.id, before.id).then((told) => told.briefs),
    ]);
    return { briefs, cultivars, blocks, earlier };
  };
  const again = async (words: string, label = ""): Promise<void> => {
    await context.readFarm();
    await drawRead(box, read, draw);
    said.say(words, "good");
    // what was touched is drawn anew: the keyboard goes to what comes next
    const next = [...box.querySelectorAll<HTMLElement>("a.button")].find((link) => link.getAttribute("aria-label") === label);
    (next ?? said.box).focus();
  };
  const draw = ({ briefs, cultivars, blocks, earlier }: Awaited<ReturnType<typeof read>>): void => {
    const { varieties } = context.farm;
    const habit = (variety: Variety): HTMLElement => habitChange(api, farm.id, variety, again);
    fill(
      box,
      before === null || notTakenOver(earlier, briefs).length === 0 ? null : seasonCopy({ api, farm: farm.id, from: before, to: season, done: again }),
      ...(varieties.length === 0 ? [emptyState(BRIEFS.noVarieties)] : lists(context, briefList(varieties, blocks, briefs), habit)),
      h("div", { class: "brief-adding" }, newVariety({ context, api, cultivars, added: again }), ownBriefChoice(context, blocks, briefs)),
    );
  };
  fill(root, h("div", { class: "briefs" }, h("h1", {}, BRIEFS.title), h("p", {}, BRIEFS.season(season.name)), said.box, box));
  void drawRead(box, read, draw);
  return STILL;
}
