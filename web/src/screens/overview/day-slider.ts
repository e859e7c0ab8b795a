/** The day that is shown: a slider over the season, a day at a time by button or key, and the season played from its beginning. */

import { DAY } from "../../core/glance-wording";
import { OVERVIEW } from "../../core/overview-wording";
import { daysAfter } from "../../core/timing";
import { dayText } from "../../core/numbers";
import type { Farm } from "../../core/contracts";
import { dayOn, type SeasonDays } from "../../core/season-days";
import { spanOn } from "../../core/season-spans";
import { h } from "../../ui/dom";
import { dayField } from "../../ui/field";

export interface DaySlider {
  box: HTMLElement;
  /** Say which day is shown. */
  show(day: string): void;
  /** The first and last day of the season that is shown, once they are known; before that only days that are typed can be asked for. */
  span(days: { first: string; last: string } | null): void;
  leave(): void;
}
export interface DayHears {
  /** The day passes by: only what is at hand is drawn. */
  pass(day: string): void;
  /** The day rests there. */
  rest(day: string): void;
}
/** Return the days of the slider: from the evening before the first mark, within the season. */
export function sliderSpan({ season, days }: SeasonDays, { seasons, today }: Pick<Farm, "seasons" | "today">): { first: string; last: string } | null {
  const span = spanOn(seasons, season.opens_on, today);
  if (span === null) return null;
  const evening = dayOn(days[0] ?? span.first, -1);
  return { first: days.length > 0 && evening > span.first ? evening : span.first, last: span.last };
}

const REST_MS = 250;
const STEP_MS = 350;
const WEEK = 7;

/** Return the slider; `today` is the last day that may be typed, and `refusal` says why one may not. */
export function daySlider(today: string, day: string, refusal: (day: string) => string, hears: DayHears): DaySlider {
  let first: string | null = null;
  let last = today;
  let shown = day;
  let resting: number | undefined;
  let playing: number | undefined;
  const range = h("input", { type: "range", "aria-label": DAY.slider, min: 0, max: 1, step: 1, class: "day-range" });
  const button = (words: string, click: () => void): HTMLButtonElement => h("button", { type: "button", on: { click } }, words);
  const asOf = dayField(OVERVIEW.day, day, { max: today });

  const draw = (): void => {
    const days = first === null ? 1 : Math.max(1, daysAfter(first, last));
    range.max = String(days);
    range.value = String(first === null ? days : daysAfter(first, shown));
    range.setAttribute("aria-valuetext", dayText(shown));
    range.disabled = first === null;
    back.disabled = first === null || shown <= first;
    on.disabled = shown >= last;
    now.disabled = shown === today;
    play.textContent = playing === undefined ? DAY.play : DAY.pause;
    play.disabled = first === null;
    if (asOf.input.value !== shown) {
      asOf.input.value = shown;
      asOf.input.dispatchEvent(new Event("input"));
    }
  };
  const pass = (to: string): void => {
    shown = to > last ? last : first !== null && to < first ? first : to;
    asOf.complain("");
    draw();
    hears.pass(shown);
    clearTimeout(resting);
    if (playing === undefined) resting = window.setTimeout(() => hears.rest(shown), REST_MS);
  };
  const stop = (): void => {
    clearInterval(playing);
    playing = undefined;
  };
  const step = (by: number): void => {
    stop();
    pass(dayOn(shown, by));
  };
  /** Go to a day of which nothing is at hand. */
  const jump = (to: string): void => {
    stop();
    clearTimeout(resting);
    asOf.complain("");
    shown = to;
    draw();
    hears.rest(shown);
  };
  const toggle = (): void => {
    if (playing !== undefined || first === null) {
      stop();
      return pass(shown);
    }
    if (shown === last) pass(first);
    clearTimeout(resting);
    playing = window.setInterval(() => {
      if (shown >= last) stop();
      pass(dayOn(shown, 1));
    }, STEP_MS);
    draw();
  };
  // arrows leave the slider its length: what they do is said and shown beside them
  const arrow = (sign: string, words: string, by: number): HTMLButtonElement =>
    h("button", { type: "button", class: "day-arrow", "aria-label": words, title: words, on: { click: () => step(by) } }, sign);
  const back = arrow("\u2039", DAY.back, -1);
  const on = arrow("\u203a", DAY.on, 1);
  const now = button(DAY.today, () => (last === today ? step(daysAfter(shown, today)) : jump(today)));
  const play = button(DAY.play, toggle);
  range.addEventListener("input", () => {
    stop();
    if (first !== null) pass(dayOn(first, Number(range.value)));
  });
  range.addEventListener("keydown", (event) => {
    const by = { PageUp: WEEK, PageDown: -WEEK }[event.key];
    if (by === undefined) return;
    event.preventDefault();
    step(by);
  });
  asOf.input.addEventListener("change", () => {
    const wanted = asOf.input.value;
    // max bounds the picker, not what is typed
    const against = wanted > today ? OVERVIEW.notYet : wanted === "" ? "" : refusal(wanted);
    asOf.complain(against);
    if (wanted !== "" && against === "") jump(wanted);
  });
  draw();
  return {
    box: h("div", { class: "day-slider", role: "group", "aria-label": DAY.group }, h("div", { class: "day-line" }, back, range, on, now), asOf.box, play),
    show(to) {
      shown = to;
      draw();
    },
    span(days) {
      first = days?.first ?? null;
      last = days?.last ?? today;
      draw();
    },
    leave() {
      stop();
      clearTimeout(resting);
    },
  };
}
