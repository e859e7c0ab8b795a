/** Settings of spot checks: some are numbers, some are one of a few. */

import { changedSetting, type Setting } from "./timing";
import { typedMeasure } from "./typed-measure";

export interface ChoiceSetting {
  name: string;
  value: string | number;
  default: string | number;
  choices: (string | number)[];
  unit: string;
  source: string;
}
export type PlanSetting = Setting | ChoiceSetting;

/** Tell whether a setting is one of a few. */
export function isChoice(setting: PlanSetting): setting is ChoiceSetting {
  return "choices" in setting;
}

/** Tell whether a setting is of spot checks: the others stand on the screen of timing. */
export function isOfChecks({ name }: Pick<PlanSetting, "name">): boolean {
  return /^(check|weak)_/.test(name);
}

/** Return the number typed for a setting, or null where it cannot be. */
export function typedSetting({ low, high, is_whole }: Setting, text: string): number | null {
  const typed = typedMeasure(text);
  return typed !== null && typed >= low && typed <= high && (!is_whole || Number.isInteger(typed)) ? typed : null;
}

/** Return what the fields change, by name; null where one of them holds what cannot be. */
export function changedChecks(settings: readonly PlanSetting[], texts: ReadonlyMap<string, string>): Record<string, string | number> | null {
  const changes: Record<string, string | number> = {};
  for (const setting of settings) {
    const text = texts.get(setting.name) ?? "";
    if (isChoice(setting)) {
      const chosen = setting.choices.find((one) => String(one) === text);
      if (chosen === undefined) return null;
      if (chosen !== setting.value) changes[setting.name] = chosen;
    } else {
      const typed = typedSetting(setting, text);
      if (typed === null) return null;
      const value = changedSetting(setting, typed);
      if (value !== null) changes[setting.name] = value;
    }
  }
  return changes;
}
