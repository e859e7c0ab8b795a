/** How a variety bears, said anew: its brief stays as it is, and a new one is offered what suits. */

import { BRIEFS, NEW_VARIETY } from "../../core/briefs-wording";
import type { Habit, Variety } from "../../core/contracts";
import { HABIT, SHELL } from "../../core/wording";
import type { BriefsApi } from "../../data/briefs-api";
import { sentence } from "../../data/request";
import { fill, h } from "../../ui/dom";
import { choiceField, textField } from "../../ui/field";
import { notice } from "../../ui/notice";

function habitForm(api: BriefsApi, farm: string, variety: Variety, changed: (words: string) => Promise<void>): HTMLElement[] {
  const habits = Object.entries(HABIT).map(([value, label]) => ({ value, label }));
  const habit = choiceField(NEW_VARIETY.habit, habits, variety.habit);
  const source = textField(NEW_VARIETY.source, variety.habit_source, { maxlength: 200 }, NEW_VARIETY.sourceHint);
  const said = notice();
  const save = async (event: Event): Promise<void> => {
    event.preventDefault();
    try {
      const now = { habit: habit.input.value as Habit, habit_source: source.input.value.trim() };
      await api.changeVariety(farm, variety.id, now);
      await changed(BRIEFS.habitSaved(variety.name));
    } catch (error) {
      said.say(sentence(error, SHELL.noAnswer), "bad");
    }
  };
  const submit = h("button", { type: "submit" }, BRIEFS.saveHabit);
  return [h("form", { class: "form", on: { submit: (event: Event) => void save(event) } }, habit.box, source.box, submit), said.box];
}

/** Return the form, folded; `changed` hears what is to be said of it. */
export function habitChange(api: BriefsApi, farm: string, variety: Variety, changed: (words: string) => Promise<void>): HTMLElement {
  const place = h("div", {});
  const open = (): void => {
    if (place.childElementCount === 0) fill(place, ...habitForm(api, farm, variety, changed));
  };
  return h(
    "details",
    { class: "habit-change", on: { toggle: open } },
    h("summary", { "aria-label": BRIEFS.changeHabitOf(variety.name) }, BRIEFS.changeHabit),
    place,
  );
}
