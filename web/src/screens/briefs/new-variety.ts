/** A new variety: known heritage varieties are suggested with how they bear and who says so. */

import type { Cultivar } from "../../core/brief-contracts";
import { suggested } from "../../core/brief-list";
import { BRIEFS, NEW_VARIETY } from "../../core/briefs-wording";
import type { Habit } from "../../core/contracts";
import { HABIT, SHELL } from "../../core/wording";
import type { BriefsApi } from "../../data/briefs-api";
import { sentence } from "../../data/request";
import { h } from "../../ui/dom";
import { choiceField, fieldId, textField } from "../../ui/field";
import { notice } from "../../ui/notice";
import type { Context } from "../context";

const NAME_LENGTH = 200;

interface NewVariety {
  context: Context;
  api: BriefsApi;
  cultivars: readonly Cultivar[];
  /** Hear what is to be said, and the label of what comes next. */
  added(words: string, next: string): Promise<void>;
}

function sameName(one: string, other: string): boolean {
  return one.trim().toLocaleLowerCase() === other.trim().toLocaleLowerCase();
}

/** Return the section. */
export function newVariety({ context, api, cultivars, added }: NewVariety): HTMLElement {
  const listId = fieldId();
  const name = textField(NEW_VARIETY.name, "", { maxlength: NAME_LENGTH, list: listId }, NEW_VARIETY.hint);
  const habits = Object.entries(HABIT).map(([value, label]) => ({ value, label }));
  const habit = choiceField(NEW_VARIETY.habit, habits, "unknown");
  const source = textField(NEW_VARIETY.source, "", { maxlength: NAME_LENGTH }, NEW_VARIETY.sourceHint);
  const said = notice();
  let last: Cultivar | undefined;
  const suggest = (): void => {
    const known = cultivars.find((one) => sameName(one.name, name.input.value));
    const now = suggested({ habit: habit.input.value as Habit, source: source.input.value }, last, known);
    habit.input.value = now.habit;
    source.input.value = now.source;
    if (known !== last) said.say(known === undefined || known.doubt === "" ? "" : NEW_VARIETY.doubt[known.doubt]);
    last = known;
  };
  name.input.addEventListener("input", suggest);
  const add = async (event: Event): Promise<void> => {
    event.preventDefault();
    const typed = name.input.value.trim();
    name.complain(typed === "" ? NEW_VARIETY.needsName : "");
    if (typed === "") return name.input.focus();
    try {
      const variety = { name: typed, habit: habit.input.value as Habit, habit_source: source.input.value.trim() };
      await api.addVariety(context.farm.id, variety);
      await added(NEW_VARIETY.added(typed), BRIEFS.makeFor(typed));
    } catch (error) {
      said.say(sentence(error, SHELL.noAnswer), "bad");
    }
  };
  return h(
    "section",
    {},
    h("h2", {}, NEW_VARIETY.title),
    h(
      "form",
      { class: "form", novalidate: true, on: { submit: (event: Event) => void add(event) } },
      name.box,
      habit.box,
      source.box,
      h("button", { type: "submit" }, NEW_VARIETY.add),
    ),
    h("datalist", { id: listId }, ...cultivars.map((one) => h("option", { value: one.name }))),
    said.box,
  );
}
