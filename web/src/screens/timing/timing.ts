/** Timing: notices on when to cut, the weather that they rest on, and what the advice goes by. */

import type { Setting, Timing, Weather } from "../../core/timing";
import { TIMING } from "../../core/timing-wording";
import { SHELL } from "../../core/wording";
import { sentence } from "../../data/request";
import { timingApi } from "../../data/timing-api";
import { fill, h } from "../../ui/dom";
import "../../ui/line-buttons.css";
import { notice } from "../../ui/notice";
import type { Screen } from "../context";
import { greenTipSection } from "./green-tip";
import { leanings } from "./leanings";
import { noticeList } from "./notice-list";
import { powerLines } from "./power-lines";
import { settingsForms } from "./settings-form";
import { slopes } from "./slopes";
import "./timing.css";
import { weatherSection } from "./weather-section";

/** Show the screen. */
export const showTiming: Screen = (root, context) => {
  const api = timingApi(context.request);
  const { id } = context.farm;
  let cursor: number | null = null;
  let left = false;
  const said = notice();
  const notices = h("section", { class: "timing-notices" });
  const spring = h("section", { class: "timing-spring" });
  const weather = weatherSection(context, api, () => void read());
  const forms = h("div", { class: "timing-forms" });

  const draw = (timing: Timing, told: Weather, settings: readonly Setting[]): void => {
    cursor = timing.cursor;
    fill(notices, ...noticeList(timing.notices, told.days.length > 0));
    fill(spring, ...greenTipSection(timing, told, context.farm.season));
    weather.draw(told, timing, settings.find(({ name }) => name === "hard_frost_c")?.value ?? null);
  };
  const read = async (): Promise<void> => {
    try {
      const [timing, told, { settings }] = await Promise.all([api.timing(id), api.weather(id), api.settings(id)]);
      if (left) return;
      said.say("");
      draw(timing, told, settings);
      // a form that is being filled in stays as it is
      if (forms.childElementCount === 0) {
        fill(forms, ...settingsForms(context, api, settings, () => void read()), leanings(context, api, () => void read()), powerLines(context, api), slopes(context, api));
      }
    } catch (error) {
      if (!left) said.say(sentence(error, SHELL.noAnswer), "bad");
    }
  };

  fill(
    root,
    h("h1", {}, TIMING.title),
    h("p", { class: "timing-purpose" }, TIMING.purpose),
    said.box,
    h(
      "div",
      { class: "timing-parts" },
      h("div", { class: "timing-told" }, notices, spring, weather.box),
      h("section", { class: "timing-settings" }, h("h2", {}, TIMING.settings), h("p", {}, TIMING.settingsPurpose), forms),
    ),
  );
  void read();
  return {
    cursor: () => cursor,
    newer: () => void read(),
    leave() {
      left = true;
    },
  };
};
