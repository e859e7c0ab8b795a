/** Hours by person, a week at a time: a table for each crew, filled in with the keyboard. */

import type { Crew, Person } from "../../core/contracts";
import { weekdayText } from "../../core/numbers";
import type { PersonHours } from "../../core/pay-contracts";
import { typedBefore, type CellText } from "../../core/pay-drafts";
import { hoursText } from "../../core/pay-money";
import { daysBeside } from "../../core/pay-place";
import { changedHours, dayAfter, typedHours, typedMinutes, weekOf, type Cell } from "../../core/pay-week";
import { PAY, PAY_PART_WORD } from "../../core/pay-wording";
import { SHELL } from "../../core/wording";
import type { ListedCrewDay } from "../../data/pay-api";
import { sentence } from "../../data/request";
import { fill, h } from "../../ui/dom";
import { atEdge } from "../../ui/edges";
import { choiceField } from "../../ui/field";
import { emptyState, notice } from "../../ui/notice";
import { freshId } from "../context";
import { byName, deskDraft, dropButton, following, reading, weekStart, type Desk, type Part } from "./desk";

interface Week {
  days: string[];
  hours: PersonHours[];
  crewDays: ListedCrewDay[];
  /** The farm's, up to which it was read. */
  cursor?: number;
}
/** A cell of the table: its inputs, and what is typed in them. */
interface CellField {
  person: string;
  crew: string;
  day: string;
  hours: HTMLInputElement;
  rest: HTMLInputElement;
}

function shownHours(hours: number): string {
  return hours === 0 ? "" : hoursText(hours);
}

/** Let Enter and the arrows go up and down a column. */
function walk(event: KeyboardEvent): void {
  const step = { Enter: 1, ArrowDown: 1, ArrowUp: -1 }[event.key];
  const input = event.target;
  if (step === undefined || !(input instanceof HTMLInputElement)) return;
  event.preventDefault();
  const column = [...document.querySelectorAll<HTMLInputElement>(`input[data-column="${input.dataset["column"]}"]`)].filter((one) => one.checkVisibility());
  const to = column[column.indexOf(input) + step];
  to?.focus();
  to?.select();
}

function shownRest(kept: PersonHours | undefined): string {
  return kept?.rest_minutes ? String(kept.rest_minutes) : "";
}

function standingIn(week: Week, { crew, person, day }: { crew: string; person: string; day: string }): PersonHours | undefined {
  return week.hours.find((one) => one.person_id === person && one.crew_id === crew && one.day === day);
}

/** Return the cells in which something else is typed than what stands. */
function textsOf(fields: readonly CellField[], week: Week): CellText[] {
  return fields.flatMap((field) => {
    const { person, crew, day, hours, rest } = field;
    const kept = standingIn(week, field);
    const isSame = hours.value === shownHours(kept?.hours ?? 0) && rest.value === shownRest(kept);
    return isSame ? [] : [{ person, crew, day, hours: hours.value, rest: rest.value, over: kept?.id ?? null }];
  });
}

function cellField(crew: string, person: Person, day: string, kept: PersonHours | undefined): CellField {
  const field = (name: string, label: string, value: string): HTMLInputElement => {
    const input = h("input", { type: "text", inputmode: "decimal", autocomplete: "off", maxlength: 6, class: `pay-${name}`, "aria-label": label, "data-column": `${name}-${day}` });
    input.value = value;
    if (name === "rest") input.placeholder = PAY.minutes;
    return input;
  };
  return {
    person: person.id,
    crew,
    day,
    hours: field("hours", PAY.cell(person.name, day), shownHours(kept?.hours ?? 0)),
    rest: field("rest", PAY.restCell(person.name, day), shownRest(kept)),
  };
}

/** Return what is typed in the cells, or null with those marked that are none. */
function typedCells(fields: readonly CellField[]): Cell[] | null {
  const cells: Cell[] = [];
  let isWell = true;
  for (const { person, crew, day, hours, rest } of fields) {
    const [h_, minutes] = [typedHours(hours.value), typedMinutes(rest.value)];
    const isWrong = [h_ === null, minutes === null || (minutes > 0 && h_ === 0)];
    for (const [at, input] of [hours, rest].entries()) input.setAttribute("aria-invalid", String(isWrong[at] === true));
    if (isWrong.some(Boolean)) isWell = false;
    else cells.push({ person_id: person, crew_id: crew, day, hours: h_ ?? 0, rest_minutes: minutes ?? 0 });
  }
  return isWell ? cells : null;
}

class CrewTable {
  readonly box = h("section", { class: "pay-week" });
  readonly fields: CellField[] = [];
  private readonly people: Person[];

  constructor(
    private readonly desk: Desk,
    private readonly crew: Crew,
    private readonly week: Week,
    private readonly typed: readonly CellText[],
    private readonly changed: () => void,
  ) {
    const worked = new Set([
      ...week.hours.filter(({ crew_id, hours }) => crew_id === crew.id && hours > 0).map(({ person_id }) => person_id),
      ...typed.filter((one) => one.crew === crew.id).map(({ person }) => person),
    ]);
    this.people = desk.context.farm.people.filter(({ id, crew_id }) => crew_id === crew.id || worked.has(id));
    this.draw();
  }

  private draw(): void {
    const { crew, week, people } = this;
    const typed = new Map(this.fields.map(({ person, day, hours: { value }, rest }) => [`${person} ${day}`, [value, rest.value] as const]));
    this.fields.length = 0;
    const rows = people.map((person) => {
      const cells = week.days.map((day) => {
        const place = { crew: crew.id, person: person.id, day };
        const kept = standingIn(week, place);
        const field = cellField(crew.id, person, day, kept);
        const waits = typedBefore(this.typed, place, kept);
        const before = typed.get(`${person.id} ${day}`) ?? (waits === null ? undefined : [waits.hours, waits.rest] as const);
        if (before !== undefined) [field.hours.value, field.rest.value] = before;
        field.hours.disabled = field.rest.disabled = day > this.desk.today;
        this.fields.push(field);
        return h("td", {}, field.hours, field.rest);
      });
      return h("tr", {}, h("th", { scope: "row" }, person.name), ...cells);
    });
    const head = h("tr", {}, h("th", { scope: "col" }, PAY.columns.person), ...week.days.map((day) => h("th", { scope: "col" }, weekdayText(day))));
    const body = h("tbody", { on: { keydown: walk, input: () => this.changed() } }, ...rows);
    const grid = h("table", {}, h("thead", {}, head), body, h("tfoot", {}, this.crewDays()));
    fill(
      this.box,
      h("h3", {}, crew.name),
      people.length === 0 ? h("p", {}, PAY.noPeople) : null,
      h("div", { class: "pay-scroll", tabindex: 0, role: "region", "aria-label": crew.name }, grid),
      this.others(),
    );
  }

  /** What the foreman said of each day, to be put for everybody at one touch. */
  private crewDays(): HTMLElement {
    const { crew, week } = this;
    const cells = week.days.map((day) => {
      const said = week.crewDays.filter((one) => one.crew_id === crew.id && one.day === day && one.standing);
      const [only] = said;
      if (only === undefined || said.length > 1) return h("td", {}, said.map(({ people, hours }) => PAY.crewDayOf(people, hoursText(hours))).join(", "));
      const hours = hoursText(only.hours);
      const put = (): void => {
        for (const field of this.fields) if (field.day === day && field.hours.value.trim() === "") field.hours.value = hours;
        this.changed();
      };
      const words = PAY.crewDayOf(only.people, hours);
      return h("td", {}, h("button", { type: "button", "aria-label": `${words}. ${PAY.fillDay(hours, day, crew.name)}`, on: { click: put } }, words));
    });
    return h("tr", {}, h("th", { scope: "row" }, PAY.crewDay), ...cells);
  }

  private others(): HTMLElement {
    const there = new Set(this.people.map(({ id }) => id));
    const left = this.desk.context.farm.people.filter(({ id }) => !there.has(id));
    const choices = [{ value: "", label: PAY.choosePerson }, ...left.map(({ id, name }) => ({ value: id, label: name }))];
    const choice = choiceField(PAY.addPerson, choices, "");
    choice.input.addEventListener("change", () => {
      const person = left.find(({ id }) => id === choice.input.value);
      if (person === undefined) return;
      this.people.push(person);
      this.draw();
      this.fields.find((field) => field.person === person.id && !field.hours.disabled)?.hours.focus();
    });
    return choice.box;
  }
}

function weekForm(box: HTMLElement, desk: Desk, week: Week, again: (first: string) => void): void {
  const said = notice();
  const [first = "", last = ""] = [week.days[0], week.days.at(-1)];
  const entries = () => {
    const cells = typedCells(tables.flatMap(({ fields }) => fields));
    return cells === null ? null : changedHours(week.hours, cells, freshId);
  };
  const draft = deskDraft<CellText[]>(desk, `hours ${first}`);
  const before = draft.read() ?? [];
  const drop = dropButton(() => {
    draft.keep(null);
    again(first);
  });
  const changed = (): void => {
    const made = entries();
    const texts = textsOf(tables.flatMap(({ fields }) => fields), week);
    draft.keep(texts.length === 0 ? null : texts);
    drop.hidden = texts.length === 0;
    said.say(made === null ? PAY.wrongHours : made.length === 0 ? "" : PAY.unsaved(made.length), made === null ? "bad" : "plain");
  };
  const crews = [...desk.context.farm.crews].sort((a, b) => byName(desk)(a.id, b.id));
  const tables = crews.map((crew) => new CrewTable(desk, crew, week, before, changed));
  const save = async (event: Event): Promise<void> => {
    event.preventDefault();
    const made = entries();
    if (made === null) return said.say(PAY.wrongHours, "bad");
    if (made.length === 0) return said.say(PAY.nothingChanged);
    try {
      await desk.api.typeHours(desk.farm, made);
      // what stands now is what was typed: the next save corrects these
      const places = new Set(made.map(({ replaces_id }) => replaces_id));
      week.hours = [...week.hours.filter(({ id }) => !places.has(id)), ...made];
      draft.keep(null);
      drop.hidden = true;
      said.say(PAY.hoursSaved(made.length), "good");
    } catch (error) {
      said.say(sentence(error, SHELL.noAnswer), "bad");
    }
  };
  const move = (days: number) => (): void => again(dayAfter(first, days));
  const rest = h("input", { type: "checkbox", on: { change: () => form.classList.toggle("with-rest", rest.checked) } });
  rest.checked = week.hours.some(({ rest_minutes }) => rest_minutes > 0) || before.some((one) => one.rest !== "");
  const form = h(
    "form",
    { class: rest.checked ? "pay-hours-form with-rest" : "pay-hours-form", novalidate: true, on: { submit: (event: Event) => void save(event) } },
    h(
      "div",
      { class: "line-buttons pay-week-head" },
      h("button", { type: "button", on: { click: move(-7) } }, PAY.earlier),
      h("b", {}, PAY.week(first, last)),
      h("button", { type: "button", disabled: dayAfter(first, 7) > desk.today, on: { click: move(7) } }, PAY.later),
      h("label", { class: "radio" }, rest, h("span", {}, PAY.withRest)),
    ),
    ...tables.map((one) => one.box),
    atEdge("bottom", h("div", { class: "pay-save" }, h("button", { type: "submit", class: "main" }, PAY.saveHours), drop, said.box)),
  );
  fill(box, form);
  if (before.length > 0) changed();
  const asked = crews.findIndex(({ id }) => id === desk.context.place.crew);
  if (asked >= 0) tables[asked]?.fields.find(({ hours, day }) => day === (desk.day ?? first) && !hours.disabled)?.hours.focus();
}

/** Show the part. */
export const showHours: Part = (root, desk) => {
  const { crews } = desk.context.farm;
  const box = h("div", {});
  let day = desk.day ?? desk.today;
  const read = (isUnasked: boolean): Promise<void> => {
    const asked = day;
    const ask = async (): Promise<Week> => {
      const days = weekOf(asked, await weekStart(desk));
      const [first = asked, last = asked] = [days[0], days.at(-1)];
      desk.keep("hours", daysBeside(desk.kept(), [first, last]));
      const [{ hours }, { crew_days: crewDays, cursor }] = await Promise.all([desk.api.hours(desk.farm, first, last), desk.api.crewDays(desk.farm)]);
      return { days, hours, crewDays, ...(cursor !== undefined && { cursor }) };
    };
    const draw = (week: Week): void => {
      if (asked === day) follows.draw(week, isUnasked, () => weekForm(box, desk, week, show));
    };
    return reading(box, desk, ask, draw, isUnasked);
  };
  const show = (to: string): void => {
    day = to;
    void read(false);
  };
  if (crews.length === 0) {
    fill(root, h("h2", {}, PAY_PART_WORD.hours), emptyState(PAY.noCrews));
    return;
  }
  const follows = following(box, desk, read);
  fill(root, h("h2", {}, PAY_PART_WORD.hours), h("p", { class: "pay-lead" }, PAY.hoursLead), follows.line, box);
  show(day);
};
