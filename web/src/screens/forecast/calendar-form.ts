/** The season's calendar: days of the week, hours, days off, days lost to weather, and the pace that is expected. */

import type { SeasonCalendar } from "../../core/forecast-contracts";
import { GOES_BY } from "../../core/forecast-wording";
import { dayText, measure } from "../../core/numbers";
import { measureText } from "../../core/typed-measure";
import { monthName, MOST_HOURS, MOST_LOST, MOST_PACE, seasonMonths, typedCalendar, type CalendarField } from "../../core/working-calendar";
import { fill, h } from "../../ui/dom";
import { dayField, textField } from "../../ui/field";
import type { Desk } from "./desk";
import { formFrame } from "./form-frame";
import type { FormPart } from "./goes-by";
import { checkList, weekdayChoice } from "./weekday-choice";

const WORDS = GOES_BY.calendar;
/** A pace smaller than that is none. */
const LEAST = 0.1;

interface DaysOff {
  box: HTMLElement;
  values(): { day: string; name: string }[];
}

function daysOffList(begin: SeasonCalendar["days_off"]): DaysOff {
  let lines: { box: HTMLElement; value(): { day: string; name: string } }[] = [];
  const list = h("div", {});
  const add = (day: string, name: string): HTMLElement => {
    const at = lines.length + 1;
    const [dayInput, nameInput] = [dayField(WORDS.dayOff(at), day), textField(WORDS.dayOffName(at), name, { maxlength: 200 })];
    const remove = (): void => {
      lines = lines.filter((other) => other !== line);
      line.box.remove();
      more.focus();
    };
    const label = day === "" ? String(at) : dayText(day);
    const button = h("button", { type: "button", "aria-label": WORDS.removeDayOff(label), on: { click: remove } }, GOES_BY.remove);
    const line = {
      box: h("div", { class: "forecast-line" }, dayInput.box, nameInput.box, button),
      value: () => ({ day: dayInput.input.value, name: nameInput.input.value.trim() }),
    };
    lines = [...lines, line];
    list.append(line.box);
    return dayInput.input;
  };
  const more = h("button", { type: "button", on: { click: () => add("", "").focus() } }, WORDS.addDayOff);
  for (const { day, name } of begin) add(day, name);
  return { box: h("fieldset", { class: "forecast-set" }, h("legend", {}, WORDS.daysOff), list, more), values: () => lines.map((line) => line.value()) };
}

interface Fields {
  boxes: (HTMLElement | null)[];
  /** Null, and said at the fields, where something cannot be. */
  read(): SeasonCalendar | null;
}

function fieldsOf(kept: SeasonCalendar, season: { opens_on: string; must_finish_on: string }): Fields {
  const problem = h("p", { class: "field-problem", role: "status" });
  const number = (label: string, value: number | null, hint = ""): ReturnType<typeof textField> =>
    textField(label, value === null ? "" : measureText(value), { inputmode: "decimal", maxlength: 6 }, hint);
  const pace = number(WORDS.pace, kept.expected_pace, WORDS.paceHint);
  const hours = number(WORDS.hours, kept.hours_per_day);
  const weekdays = weekdayChoice(WORDS.weekdays, kept.weekdays);
  const daylight = checkList(WORDS.dayLength, [{ value: "daylight", label: WORDS.daylight }], kept.respects_daylight ? ["daylight"] : []);
  const lost = seasonMonths(season.opens_on, season.must_finish_on).map((month) => ({ month, field: number(monthName(month), kept.lost_percent[month] ?? 0) }));
  const daysOff = daysOffList(kept.days_off);
  const complain = (wrong: readonly CalendarField[]): void => {
    const ifWrong = (field: CalendarField, words: string): string => (wrong.includes(field) ? words : "");
    hours.complain(ifWrong("hours", WORDS.between(measure(LEAST), measure(MOST_HOURS))));
    pace.complain(ifWrong("pace", WORDS.between(measure(LEAST), measure(MOST_PACE))));
    for (const { month, field } of lost) field.complain(ifWrong(`lost-${month}`, WORDS.between("0", measure(MOST_LOST))));
    problem.textContent = [ifWrong("weekdays", WORDS.noWeekday), ifWrong("days_off", WORDS.oddDaysOff)].join(" ").trim();
  };
  return {
    boxes: [
      kept.is_set === false ? h("p", {}, WORDS.firstGuess) : null,
      h("div", { class: "form" }, pace.box, hours.box),
      daylight.box,
      weekdays.box,
      h("fieldset", { class: "forecast-set" }, h("legend", {}, WORDS.lost), h("p", { class: "field-hint" }, WORDS.lostHint), h("div", { class: "form" }, ...lost.map(({ field }) => field.box))),
      daysOff.box,
      problem,
    ],
    read() {
      const found = typedCalendar(kept, {
        weekdays: weekdays.value(),
        hours: hours.input.value,
        pace: pace.input.value,
        daylight: daylight.values().length > 0,
        lost: new Map(lost.map(({ month, field }) => [month, field.input.value])),
        daysOff: daysOff.values(),
      });
      complain("wrong" in found ? found.wrong : []);
      return "wrong" in found ? null : found.calendar;
    },
  };
}

/** Return the form. */
export function calendarForm({ context, api }: Desk, saved: () => void): FormPart {
  let fields: Fields | null = null;
  const begin = (kept: SeasonCalendar): void => {
    const { season } = context.farm;
    if (season === null) return;
    fields = fieldsOf(kept, season);
    fill(frame.fields, ...fields.boxes);
  };
  const frame = formFrame(WORDS.title, async () => {
    const typed = fields?.read() ?? null;
    if (typed === null) {
      frame.said.say(GOES_BY.mend, "bad");
      return false;
    }
    begin(await api.saveCalendar(context.farm.id, typed));
    saved();
    return true;
  });
  return {
    box: frame.box,
    draw({ calendar }) {
      frame.box.hidden = calendar === null;
      if (calendar !== null && (fields === null || !frame.box.open)) begin(calendar);
    },
  };
}
