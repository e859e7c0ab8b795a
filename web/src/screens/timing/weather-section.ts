/** The weather that was loaded: from when to when, what is missing, its chart, and the place for another file. */

import { dayText, momentText } from "../../core/numbers";
import type { Timing, Weather } from "../../core/timing";
import { TIMING } from "../../core/timing-wording";
import { SHELL } from "../../core/wording";
import { sentence } from "../../data/request";
import type { TimingApi } from "../../data/timing-api";
import { fill, h } from "../../ui/dom";
import { dropZone } from "../../ui/drop-zone";
import { notice } from "../../ui/notice";
import type { Context } from "../context";
import { sure } from "../people/sure";
import { minimaFigure } from "./minima-chart";

export interface WeatherSection {
  box: HTMLElement;
  draw(weather: Weather, timing: Timing, frost_c: number | null): void;
}

function standing(weather: Weather, today: string, zone: string): HTMLElement {
  const { first_day, last_day, loaded_at, gaps, days } = weather;
  if (first_day === null || last_day === null || loaded_at === null) return h("p", {}, TIMING.noWeather);
  const stale = days.filter(({ day, is_forecast }) => is_forecast && day < today).length;
  const missing = gaps.map(([first, last]) => TIMING.gap(dayText(first), dayText(last))).join(", ");
  const said = [
    TIMING.loaded(dayText(first_day), dayText(last_day), momentText(loaded_at, zone)),
    TIMING.days(days.length),
    missing === "" ? TIMING.noGaps : TIMING.gaps(missing),
    stale === 0 ? "" : TIMING.stillForecast(stale),
  ];
  return h("p", {}, said.filter((part) => part !== "").join(" "));
}

/** Return the section; `changed` hears that other weather is loaded. */
export function weatherSection(context: Context, api: TimingApi, changed: () => void): WeatherSection {
  const { farm } = context;
  const said = notice();
  const body = h("div", {});
  said.box.tabIndex = -1;
  const load = async (file: File): Promise<void> => {
    if (file.size === 0) {
      said.say(TIMING.emptyFile, "bad");
      return;
    }
    said.say(TIMING.reading);
    try {
      const { days } = await api.loadWeather(farm.id, file);
      said.say(TIMING.took(days), "good");
      changed();
    } catch (error) {
      said.say(TIMING.refused(sentence(error, SHELL.noAnswer)), "bad");
    }
  };
  const forget = async (): Promise<void> => {
    await api.forgetWeather(farm.id);
    said.say(TIMING.forgot, "good");
    said.box.focus(); // its button goes with the days
    changed();
  };
  const words = { drop: TIMING.drop, choose: TIMING.chooseFile, formats: TIMING.formats };
  return {
    box: h("section", { class: "timing-weather" }, h("h2", {}, TIMING.weather), body, said.box, dropZone(words, (file) => void load(file))),
    draw(weather, timing, frost_c) {
      const any = weather.days.length > 0;
      fill(
        body,
        standing(weather, timing.day, farm.time_zone),
        ...(frost_c === null ? [] : minimaFigure(weather.days, timing.cut_days, frost_c, timing.day)),
        any ? sure({ button: TIMING.forget, label: TIMING.forget, question: TIMING.forgetSure, yes: TIMING.forgetYes, run: forget }) : null,
      );
    },
  };
}
