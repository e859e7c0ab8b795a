/** The form of a case of one's own: what is done otherwise from the next day on. */

import type { Method } from "../../core/contracts";
import type { Case } from "../../core/forecast-contracts";
import { measure } from "../../core/numbers";
import { measureText, typedMeasure } from "../../core/typed-measure";
import { lessTimeOf, onLadders, PLATFORM_LESS_TIME, ratioOf, usualPeople } from "../../core/what-if";
import { WHAT_IF } from "../../core/what-if-wording";
import { fill, h } from "../../ui/dom";
import { textField, type Field } from "../../ui/field";
import type { Reading } from "./desk";
import { checkList, weekdayChoice } from "./weekday-choice";

export interface CaseForm {
  box: HTMLDetailsElement;
  /** Put what stands into an empty form; one that is being filled in stays as it is. */
  draw(reading: Reading): void;
  /** Open it with a case to change. */
  open(one: Case): void;
}

const MOST_MORE = 200;
const MOST_CREWS = 20;
const MOST_LOST = 250;

/** What is typed into a field; null, and said at the field, where it is no number that can be. */
function numberIn(field: Field<HTMLInputElement>, [least, most]: readonly [number, number], isWhole = true): number | null {
  const typed = field.input.value.trim() === "" ? 0 : typedMeasure(field.input.value.replace("\u2212", "-"));
  const isWell = typed !== null && typed >= least && typed <= most && (!isWhole || Number.isInteger(typed));
  const bounds = [measure(least), measure(most)] as const;
  field.complain(isWell ? "" : isWhole ? WHAT_IF.form.needsWhole(...bounds) : WHAT_IF.form.needsNumber(...bounds));
  return isWell ? typed : null;
}

/** Return the fields, begun with a case, and what reads them: null, said at the fields, where a number cannot be. */
function fieldsOf(begin: Case, { standing }: Reading): { boxes: HTMLElement[]; read(): Case | null } {
  const words = WHAT_IF.form;
  const crews = standing?.crews ?? [];
  const calendar = standing?.calendar ?? { weekdays: "1111100", hours_per_day: 8 };
  const number = (label: string, value: number, hint = ""): Field<HTMLInputElement> =>
    textField(label, measureText(value), { inputmode: "decimal", maxlength: 6 }, hint);
  const people = crews.map(({ id, name }, at) => ({ id, field: number(words.peopleOf(name), begin.people?.[id] ?? 0, at === 0 ? words.peopleHint : "") }));
  const moreCrews = number(words.crews, begin.crews?.length ?? 0);
  const crewPeople = number(words.crewPeople, begin.crews?.[0]?.people ?? usualPeople(standing?.people ?? new Map()), words.crewPeopleHint);
  const hours = number(words.hours, begin.hours_per_day ?? calendar.hours_per_day);
  const lost = number(words.lost, begin.lost_days ?? 0);
  const weekdays = weekdayChoice(words.weekdays, begin.weekdays ?? calendar.weekdays);
  const ladders = onLadders(crews);
  const platform = checkList(
    words.platform,
    crews.filter(({ id }) => ladders.includes(id)).map(({ id, name }) => ({ value: id, label: name })),
    Object.keys(begin.methods ?? {}),
  );
  const less = number(words.lessTime, begin.ratios?.platform === undefined ? PLATFORM_LESS_TIME : lessTimeOf(begin.ratios.platform), words.source);
  const fields = [...people.map(({ field }) => field), moreCrews, crewPeople, hours, lost];
  const onPlatform = ladders.length === 0 ? [] : [platform.box, less.box];
  return {
    boxes: [h("div", { class: "form" }, ...fields.map(({ box }) => box)), weekdays.box, ...onPlatform],
    read() {
      const more = people.map(({ id, field }) => [id, numberIn(field, [-MOST_MORE, MOST_MORE])] as const);
      const [n, each] = [numberIn(moreCrews, [0, MOST_CREWS]), numberIn(crewPeople, [1, MOST_MORE])];
      const [hours_per_day, lost_days] = [numberIn(hours, [0.5, 24], false), numberIn(lost, [0, MOST_LOST])];
      const lessTime = numberIn(less, [0, 90], false);
      if (n === null || each === null || hours_per_day === null || lost_days === null || lessTime === null) return null;
      const added: Record<string, number> = {};
      for (const [id, value] of more) {
        if (value === null) return null;
        added[id] = value;
      }
      return {
        people: added,
        crews: Array.from({ length: n }, () => ({ people: each })),
        weekdays: weekdays.value(),
        hours_per_day,
        lost_days,
        methods: Object.fromEntries(platform.values().map((id) => [id, "platform" as Method])),
        ratios: { platform: ratioOf(lessTime) },
      };
    },
  };
}

/** Return the form, folded away; `put` hears the case. */
export function caseForm(put: (one: Case) => void): CaseForm {
  let reading: Reading | null = null;
  let read: () => Case | null = () => null;
  const body = h("div", {});
  const begin = (one: Case): void => {
    if (reading === null) return;
    const fields = fieldsOf(one, reading);
    ({ read } = fields);
    fill(body, ...fields.boxes);
  };
  const submit = (event: Event): void => {
    event.preventDefault();
    const one = read();
    if (one !== null) put(one);
  };
  const box = h(
    "details",
    { class: "forecast-form" },
    h("summary", {}, WHAT_IF.own),
    h("form", { novalidate: true, on: { submit } }, body, h("div", { class: "line-buttons" }, h("button", { type: "submit", class: "main" }, WHAT_IF.form.put))),
  );
  return {
    box,
    draw(now) {
      reading = now;
      if (!box.open || body.childElementCount === 0) begin({});
    },
    open(one) {
      begin(one);
      box.open = true;
      box.querySelector("input")?.focus();
    },
  };
}
