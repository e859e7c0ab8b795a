/** A new brief for a variety or a block: from a bearing habit, or a copy of one that is there. */

import type { BearingHabit, BriefStart, BriefSubject, SaidBrief, TrainingSystem } from "../../core/brief-contracts";
import { briefOf, suitingHabits } from "../../core/brief-list";
import { BRIEFS, NEW_BRIEF, SYSTEM } from "../../core/briefs-wording";
import type { BlockSummary, Habit, Season } from "../../core/contracts";
import { addressOf } from "../../core/place";
import { SHELL } from "../../core/wording";
import type { BriefsApi } from "../../data/briefs-api";
import { sentence } from "../../data/request";
import { fill, h } from "../../ui/dom";
import { choiceField } from "../../ui/field";
import { emptyState, notice } from "../../ui/notice";
import { STILL, type Context, type Shown } from "../context";
import { placeLink } from "../place-link";
import { copyForm } from "./copy-form";
import { habitCard } from "./habit-card";
import { drawRead } from "./reading";
import { blocksOf, plantedWith, subjectName } from "./subject";

function habitOf({ farm }: Context, blocks: readonly BlockSummary[], subject: BriefSubject): Habit {
  if ("block_id" in subject) return blocks.find(({ id }) => id === subject.block_id)?.habit ?? "unknown";
  return farm.varieties.find(({ id }) => id === subject.variety_id)?.habit ?? "unknown";
}

interface Choice {
  ready: readonly SaidBrief[];
  suiting: readonly BearingHabit[];
  start(start: BriefStart): Promise<void>;
}

function readyMadeChoice({ ready, suiting, start }: Choice): HTMLElement {
  const systems = Object.entries(SYSTEM).map(([value, label]) => ({ value, label }));
  const system = choiceField(NEW_BRIEF.system, systems, "axis", NEW_BRIEF.systemHint);
  const heavy = h("input", { type: "checkbox" });
  const pick = (habit: BearingHabit): Promise<void> =>
    start({ ready_made: { habit, is_heavy_setter: heavy.checked, system: system.input.value as TrainingSystem } });
  const isSuiting = ({ content }: SaidBrief): boolean => suiting.includes(content.habit);
  const part = (title: string, some: readonly SaidBrief[]): HTMLElement | null =>
    some.length === 0
      ? null
      : h("section", {}, h("h2", {}, title), h("ul", { class: "plain-list habit-cards" }, ...some.map((one) => habitCard(one, pick))));
  return h(
    "div",
    {},
    h("div", { class: "habit-choice" }, system.box, h("label", { class: "radio" }, heavy, h("span", {}, NEW_BRIEF.heavy))),
    part(NEW_BRIEF.suiting, ready.filter(isSuiting)),
    part(suiting.length === 0 ? NEW_BRIEF.habits : NEW_BRIEF.others, ready.filter((one) => !isSuiting(one))),
  );
}

/** Show the screen. */
export function showNewBrief(root: HTMLElement, context: Context, api: BriefsApi, season: Season, subject: BriefSubject): Shown {
  const { farm, go } = context;
  const box = h("div", { class: "briefs" });
  const said = notice();
  const toList = { screen: "briefs", block: null } as const;
  const open = (id: string): void => {
    history.replaceState(null, "", addressOf(toList)); // back leads to the list, not to a second brief for the same
    go({ ...toList, brief: id });
  };
  const start = async (from: BriefStart): Promise<void> => {
    try {
      open((await api.make(farm.id, season.id, subject, from)).id);
    } catch (error) {
      said.say(sentence(error, SHELL.noAnswer), "bad");
      said.box.scrollIntoView({ block: "nearest" });
    }
  };
  const read = () => Promise.all([api.readyMade(false, "axis"), api.cultivars(), blocksOf(context), api.briefs(farm.id, season.id)]);
  void drawRead(box, read, ([{ briefs: ready }, { cultivars }, blocks, { briefs }]) => {
    const there = briefOf(briefs, subject);
    if (there !== null) return open(there.id); // an old address: it was made since
    const name = subjectName(farm, blocks, subject);
    if (name === null) {
      fill(box, h("h1", {}, BRIEFS.title), emptyState(NEW_BRIEF.gone, { label: NEW_BRIEF.back, run: () => go(toList) }));
      return;
    }
    fill(
      box,
      placeLink(toList, NEW_BRIEF.back, go, { class: "back-link" }),
      h("h1", {}, NEW_BRIEF.title(name)),
      h("p", {}, NEW_BRIEF.lead),
      said.box,
      readyMadeChoice({ ready, suiting: suitingHabits(habitOf(context, blocks, subject), cultivars), start }),
      copyForm(context, api, plantedWith(farm, blocks, subject), (id) => start({ copy_of: id })),
    );
  });
  fill(root, box);
  return STILL;
}
