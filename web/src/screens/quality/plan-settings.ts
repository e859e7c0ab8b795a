/** What the farm's plan is made by: choices and numbers, each with its first guess and that one's source. */

import { changedChecks, isChoice, isOfChecks, typedSetting, type PlanSetting } from "../../core/quality-settings";
import { PLAN_SETTINGS } from "../../core/quality-wording";
import { settingText } from "../../core/timing";
import { TIMING } from "../../core/timing-wording";
import { measureText } from "../../core/typed-measure";
import { SHELL } from "../../core/wording";
import { sentence } from "../../data/request";
import { fill, h } from "../../ui/dom";
import { choiceField, textField, type Field } from "../../ui/field";
import { notice } from "../../ui/notice";
import type { Desk } from "./desk";

function shown(setting: PlanSetting, value: string | number): string {
  if (!isChoice(setting)) return settingText(setting, Number(value));
  return typeof value === "number" ? measureText(value) : (PLAN_SETTINGS.choices[value] ?? value);
}

function fieldOf(setting: PlanSetting): Field<HTMLInputElement | HTMLSelectElement> {
  const words = PLAN_SETTINGS.names[setting.name] ?? setting.name;
  const hint = PLAN_SETTINGS.published(shown(setting, setting.default), setting.source);
  if (!isChoice(setting)) return textField(words, shown(setting, setting.value), { inputmode: "decimal", maxlength: 8 }, hint);
  const choices = setting.choices.map((value) => ({ value: String(value), label: shown(setting, value) }));
  return choiceField(words, choices, String(setting.value), hint);
}

function form(desk: Desk, settings: readonly PlanSetting[], saved: (now: PlanSetting[]) => void): HTMLElement {
  const fields = settings.map((setting) => ({ setting, field: fieldOf(setting) }));
  const said = notice();
  const complain = ({ setting, field }: (typeof fields)[number]): void => {
    if (isChoice(setting)) return;
    const { low, high, unit } = setting;
    const isWell = typedSetting(setting, field.input.value) !== null;
    field.complain(isWell ? "" : TIMING.needsNumber(settingText(setting, low), settingText(setting, high), unit));
  };
  const save = async (event: Event): Promise<void> => {
    event.preventDefault();
    fields.forEach(complain);
    const changes = changedChecks(settings, new Map(fields.map(({ setting, field }) => [setting.name, field.input.value])));
    if (changes === null) return;
    if (Object.keys(changes).length === 0) return said.say(PLAN_SETTINGS.nothingChanged);
    try {
      const { settings: now } = await desk.api.saveSettings(desk.context.farm.id, changes);
      saved(now);
    } catch (error) {
      said.say(sentence(error, SHELL.noAnswer), "bad");
    }
  };
  return h(
    "form",
    { class: "plan-settings", novalidate: true, on: { submit: (event: Event) => void save(event) } },
    h("p", {}, PLAN_SETTINGS.lead),
    h("div", { class: "form" }, ...fields.map(({ field }) => field.box)),
    h("div", { class: "line-buttons" }, h("button", { type: "submit", class: "main" }, PLAN_SETTINGS.save)),
    said.box,
  );
}

/** Return the settings, folded away; they are read when they are opened. */
export function planSettings(desk: Desk): HTMLElement {
  const body = h("div", {});
  const said = notice();
  const draw = (settings: readonly PlanSetting[]): void =>
    fill(
      body,
      form(desk, settings.filter(isOfChecks), (now) => {
        draw(now);
        said.say(PLAN_SETTINGS.saved, "good");
      }),
    );
  const read = async (): Promise<void> => {
    try {
      draw((await desk.api.settings(desk.context.farm.id)).settings);
    } catch (error) {
      said.say(sentence(error, SHELL.noAnswer), "bad");
    }
  };
  const toggled = (): void => {
    if (details.open && body.childElementCount === 0) void read();
  };
  const details = h("details", { on: { toggle: toggled } }, h("summary", {}, PLAN_SETTINGS.title), body, said.box);
  return details;
}
