/** The fields of one crew-day: a new one, or the correction of one that stands. */

import type { Method } from "../../core/contracts";
import type { ToldCrewDay, WithoutHours } from "../../core/forecast-contracts";
import { GOES_BY } from "../../core/forecast-wording";
import type { Entered } from "../../core/knock-off";
import { weekdayText } from "../../core/numbers";
import { measureText, typedMeasure } from "../../core/typed-measure";
import { METHOD } from "../../core/wording";
import { h } from "../../ui/dom";
import { choiceField, dayField, textField } from "../../ui/field";
import { crewName, type Desk, type Reading } from "./desk";

const WORDS = GOES_BY.crewDays;
const MOST_PEOPLE = 200;
const MOST_HOURS = 24;
const USUAL_HOURS = 8;

/** Whose day it is. */
export type CrewDaySubject = Pick<WithoutHours, "crew_id" | "day">;
export interface CrewDayFields {
  box: HTMLElement;
  subject(): CrewDaySubject;
  /** The entry that is corrected; null for a new one. */
  correcting(): ToldCrewDay | null;
  begin(one: ToldCrewDay | null, subject: CrewDaySubject, reading: Reading | null): void;
  /** What is typed; null, and said at the fields, where something cannot be. */
  typed(): Entered | null;
  focus(): void;
}

/** Return the fields. */
export function crewDayFields({ context }: Desk): CrewDayFields {
  const { farm } = context;
  let correcting: ToldCrewDay | null = null;
  const about = h("p", { "aria-live": "polite" });
  const crew = choiceField(GOES_BY.people.crew, farm.crews.map(({ id, name }) => ({ value: id, label: name })), farm.crews[0]?.id ?? "");
  const day = dayField(WORDS.columns.day, farm.today, { max: farm.today });
  const people = textField(WORDS.columns.people, "", { inputmode: "numeric", maxlength: 3 });
  const hours = textField(WORDS.hours, "", { inputmode: "decimal", maxlength: 5 });
  const method = choiceField(WORDS.columns.method, Object.entries(METHOD).map(([value, label]) => ({ value, label })), farm.crews[0]?.method ?? "ladder");
  return {
    box: h("div", {}, about, h("div", { class: "form" }, crew.box, day.box, people.box, hours.box, method.box)),
    subject: () => ({ crew_id: crew.input.value, day: day.input.value }),
    correcting: () => correcting,
    begin(one, { crew_id, day: on }, reading) {
      correcting = one;
      const known = reading?.forecast.crews.find((other) => other.crew_id === crew_id);
      crew.input.value = crew_id;
      day.input.value = on;
      day.input.dispatchEvent(new Event("change")); // its words beside it
      people.input.value = String(one?.people ?? known?.people ?? "");
      hours.input.value = measureText(one?.hours ?? reading?.calendar?.hours_per_day ?? USUAL_HOURS);
      method.input.value = one?.method ?? known?.method ?? farm.crews.find(({ id }) => id === crew_id)?.method ?? "ladder";
      for (const field of [people, hours, day]) field.complain("");
      // whose day it is cannot be corrected: it would be another entry
      for (const { input } of [crew, day]) input.disabled = one !== null;
      about.textContent = one === null ? WORDS.fresh : WORDS.correcting(crewName(context, one.crew_id), weekdayText(one.day));
    },
    typed() {
      const [n, long] = [typedMeasure(people.input.value), typedMeasure(hours.input.value)];
      const hasPeople = n !== null && Number.isInteger(n) && n >= 1 && n <= MOST_PEOPLE;
      const hasHours = long !== null && long > 0 && long <= MOST_HOURS;
      const hasDay = day.input.value !== "" && day.input.value <= farm.today;
      people.complain(hasPeople ? "" : WORDS.needsPeople);
      hours.complain(hasHours ? "" : WORDS.needsHours);
      day.complain(hasDay ? "" : WORDS.needsDay);
      return hasPeople && hasHours && hasDay ? { people: n, hours: long, method: method.input.value as Method } : null;
    },
    focus: () => people.input.focus(),
  };
}
