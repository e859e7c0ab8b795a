/** Forms of what the advice goes by: each number with its first guess and that one's source. */

import { typedMeasure } from "../../core/typed-measure";
import { changedSetting, settingText, type Setting } from "../../core/timing";
import { TIMING } from "../../core/timing-wording";
import { SHELL } from "../../core/wording";
import { sentence } from "../../data/request";
import type { TimingApi } from "../../data/timing-api";
import { h } from "../../ui/dom";
import { textField } from "../../ui/field";
import { notice } from "../../ui/notice";
import type { Context } from "../context";

interface SettingField {
  box: HTMLElement;
  setting: Setting;
  /** What is typed; null, and said at the field, where it is no number that can be. */
  read(): number | null;
  reset(): void;
  kept(value: number): void;
}

function settingField(setting: Setting): SettingField {
  const shown = (value: number): string => settingText(setting, value);
  const { unit, low, high } = setting;
  const field = textField(
    TIMING.withUnit(TIMING.setting(setting.name), unit),
    shown(setting.value),
    { inputmode: "decimal", maxlength: 12 },
    TIMING.published(shown(setting.default), unit, setting.source),
  );
  let now = setting;
  return {
    box: field.box,
    get setting() {
      return now;
    },
    read() {
      const typed = typedMeasure(field.input.value);
      const well = typed !== null && typed >= low && typed <= high && (!setting.is_whole || Number.isInteger(typed));
      field.complain(well ? "" : TIMING.needsNumber(shown(low), shown(high), unit));
      return well ? typed : null;
    },
    reset() {
      field.input.value = shown(setting.default);
      field.complain("");
    },
    kept(value) {
      now = { ...now, value };
      field.input.value = shown(value);
    },
  };
}

function form({ farm }: Context, api: TimingApi, title: string, settings: readonly Setting[], saved: () => void): HTMLElement {
  const fields = settings.map(settingField);
  const said = notice();
  const save = async (event: Event): Promise<void> => {
    event.preventDefault();
    const typed = fields.map((field) => field.read());
    if (typed.includes(null)) return;
    const changes: Record<string, number> = {};
    for (const [at, field] of fields.entries()) {
      const value = changedSetting(field.setting, typed[at] ?? NaN);
      if (value !== null) changes[field.setting.name] = value;
    }
    if (Object.keys(changes).length === 0) {
      said.say(TIMING.nothingChanged);
      return;
    }
    try {
      const { settings: now } = await api.saveSettings(farm.id, changes);
      for (const field of fields) {
        const kept = now.find(({ name }) => name === field.setting.name);
        if (kept !== undefined) field.kept(kept.value);
      }
      said.say(TIMING.saved, "good");
      saved();
    } catch (error) {
      said.say(sentence(error, SHELL.noAnswer), "bad");
    }
  };
  const reset = (): void => {
    for (const field of fields) field.reset();
    said.say("");
  };
  return h(
    "details",
    { class: "timing-form" },
    h("summary", {}, title),
    h(
      "form",
      { novalidate: true, on: { submit: (event: Event) => void save(event) } },
      ...fields.map(({ box }) => box),
      h(
        "div",
        { class: "line-buttons" },
        h("button", { type: "submit", class: "main" }, TIMING.save),
        h("button", { type: "button", on: { click: reset } }, TIMING.asPublished),
      ),
      said.box,
    ),
  );
}

/** Which settings stand in a form, by their names; whatever a newer service adds stands in the first one. Those of spot checks stand where lots are. */
const FORMS: readonly (readonly [title: string, named: RegExp])[] = [
  [TIMING.timingSettings, /^(?!line_|slope_|count_|check_|weak_)/],
  [TIMING.hazardSettings, /^(?:line|slope)_/],
  [TIMING.countSettings, /^count_/],
];

/** Return the forms of frost and rain, of power lines and slopes, and of counting. */
export function settingsForms(context: Context, api: TimingApi, settings: readonly Setting[], saved: () => void): HTMLElement[] {
  return FORMS.map(([title, named]) => form(context, api, title, settings.filter(({ name }) => named.test(name)), saved));
}
