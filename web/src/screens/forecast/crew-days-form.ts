/** Crew-days as a manager types and corrects them: those that are missing first, then what stands. */

import type { CrewDay, Method } from "../../core/contracts";
import { standingCrewDays, stillWithoutHours } from "../../core/crew-day-list";
import type { ToldCrewDay, WithoutHours } from "../../core/forecast-contracts";
import { GOES_BY } from "../../core/forecast-wording";
import { newCrewDay } from "../../core/knock-off";
import { count, measure, weekdayText } from "../../core/numbers";
import { measureText, typedMeasure } from "../../core/typed-measure";
import { METHOD, SHELL } from "../../core/wording";
import { sentence } from "../../data/request";
import { fill, h } from "../../ui/dom";
import { choiceField, dayField, textField } from "../../ui/field";
import { recorderId, stamp } from "../context";
import { crewName, plainTable, type Desk, type Reading } from "./desk";
import { formFrame } from "./form-frame";
import type { FormPart } from "./goes-by";

const WORDS = GOES_BY.crewDays;
const MOST_PEOPLE = 200;
const MOST_HOURS = 24;
/** So many entries are shown before one asks for all. */
const SHOWN = 12;

/** Return the form. */
export function crewDaysForm({ context, api }: Desk, saved: () => void): FormPart {
  const { farm } = context;
  let reading: Reading | null = null;
  let standing: ToldCrewDay[] = [];
  let correcting: ToldCrewDay | null = null;
  let showsAll = false;
  const missing = h("div", {});
  const said = h("div", {});
  const about = h("p", { "aria-live": "polite" });
  const crew = choiceField(GOES_BY.people.crew, farm.crews.map(({ id, name }) => ({ value: id, label: name })), farm.crews[0]?.id ?? "");
  const day = dayField(WORDS.columns.day, farm.today, { max: farm.today });
  const people = textField(WORDS.columns.people, "", { inputmode: "numeric", maxlength: 3 });
  const hours = textField(WORDS.hours, "", { inputmode: "decimal", maxlength: 5 });
  const method = choiceField(WORDS.columns.method, Object.entries(METHOD).map(([value, label]) => ({ value, label })), farm.crews[0]?.method ?? "ladder");

  const begin = (one: ToldCrewDay | null, subject: Pick<WithoutHours, "crew_id" | "day">): void => {
    correcting = one;
    const known = reading?.forecast.crews.find(({ crew_id }) => crew_id === subject.crew_id);
    crew.input.value = subject.crew_id;
    day.input.value = subject.day;
    day.input.dispatchEvent(new Event("change"));
    people.input.value = one === null ? (known === undefined ? "" : String(known.people)) : String(one.people);
    hours.input.value = measureText(one?.hours ?? reading?.calendar?.hours_per_day ?? 8);
    method.input.value = one?.method ?? known?.method ?? farm.crews.find(({ id }) => id === subject.crew_id)?.method ?? "ladder";
    for (const field of [people, hours, day]) field.complain("");
    // whose day it is cannot be corrected: it would be another entry
    for (const { input } of [crew, day]) input.disabled = one !== null;
    about.textContent = one === null ? WORDS.fresh : WORDS.correcting(crewName(context, one.crew_id), weekdayText(one.day));
    frame.said.say("");
  };
  const start = (one: ToldCrewDay | null, subject: Pick<WithoutHours, "crew_id" | "day">): void => {
    begin(one, subject);
    people.input.focus();
  };
  const typed = (): { people: number; hours: number; method: Method } | null => {
    const [n, long] = [typedMeasure(people.input.value), typedMeasure(hours.input.value)];
    const hasPeople = n !== null && Number.isInteger(n) && n >= 1 && n <= MOST_PEOPLE;
    const hasHours = long !== null && long > 0 && long <= MOST_HOURS;
    const hasDay = day.input.value !== "" && day.input.value <= farm.today;
    people.complain(hasPeople ? "" : WORDS.needsPeople);
    hours.complain(hasHours ? "" : WORDS.needsHours);
    day.complain(hasDay ? "" : WORDS.needsDay);
    return hasPeople && hasHours && hasDay ? { people: n, hours: long, method: method.input.value as Method } : null;
  };
  /** Why it is not entered; null where it may be. */
  const refused = (entered: { people: number; hours: number; method: Method }): string | null => {
    const others = standing.filter((one) => one.crew_id === crew.input.value && one.day === day.input.value && one.id !== correcting?.id);
    if (others.some((one) => one.method === entered.method)) return WORDS.twice;
    const isSame = correcting?.people === entered.people && correcting.hours === entered.hours && correcting.method === entered.method;
    return isSame ? WORDS.nothingNew : null;
  };
  /** The service took the entry, or set it aside for a reason. */
  const came = async ({ crew_id, day: on }: CrewDay, setAside: string): Promise<void> => {
    if (setAside !== "") return frame.said.say(WORDS.setAside(setAside), "bad");
    await read();
    begin(null, { crew_id, day: on });
    frame.said.say(WORDS.kept(crewName(context, crew_id), weekdayText(on)), "good");
    saved();
  };
  /** It is on this device's disk: wait for what the service says to it. */
  const whenSaid = (record: CrewDay): void => {
    frame.said.say(WORDS.waits);
    const hear = (): void => {
      const entry = context.sending.entries().find(({ id }) => id === record.id);
      if (entry === undefined || entry.state === "waiting") return;
      stop();
      if (entry.state === "refused") frame.said.say(entry.reason, "bad");
      else void came(record, entry.state === "set_aside" ? entry.reason : "").catch(failed);
    };
    const stop = context.sending.listen(hear);
    hear();
  };
  const frame = formFrame(
    WORDS.title,
    async () => {
      const entered = typed();
      const seasonId = correcting?.season_id ?? farm.season?.id;
      if (entered === null || seasonId === undefined) {
        frame.said.say(GOES_BY.mend, "bad");
        return false;
      }
      const why = refused(entered);
      if (why !== null) {
        frame.said.say(why, "bad");
        return false;
      }
      const subject = { crewId: crew.input.value, day: day.input.value, seasonId, deviceId: context.deviceId, recorderId: recorderId(context) };
      const record = newCrewDay(subject, entered, correcting?.id ?? null, stamp());
      const fate = await context.sending.handIn(farm.id, { kind: "crew_days", values: [record] }, { block: "", row: 0 });
      if (fate.state === "refused") frame.said.say(fate.problem.message, "bad");
      if (fate.state === "not-sent") frame.said.say(WORDS.notSafe, "bad");
      if (fate.state === "answered") await came(record, fate.receipts[0]?.outcome === "set_aside" ? fate.receipts[0].reason : "");
      if (fate.state === "kept") whenSaid(record);
      return false;
    },
    WORDS.put,
  );
  const button = (words: string, label: string, click: () => void): HTMLElement => h("button", { type: "button", "aria-label": label, on: { click } }, words);
  const drawLists = (): void => {
    const open = stillWithoutHours(reading?.forecast.without_hours ?? [], standing);
    const lines = open.map((one) => {
      const [name, on] = [crewName(context, one.crew_id), weekdayText(one.day)];
      return h("li", { class: "forecast-line" }, h("span", {}, WORDS.missingLine(on, name, one.trees)), button(WORDS.enter, WORDS.enterOf(on, name), () => start(null, one)));
    });
    fill(missing, ...(open.length === 0 ? [] : [h("h3", {}, WORDS.missing), h("ul", { class: "plain-list" }, ...lines)]));
    const shown = showsAll ? standing : standing.slice(0, SHOWN);
    const { columns } = WORDS;
    const table = shown.map((one) => {
      const [name, on] = [crewName(context, one.crew_id), weekdayText(one.day)];
      return [on, name, count(one.people), measure(one.hours), METHOD[one.method], button(WORDS.correct, WORDS.correctOf(on, name), () => start(one, one))];
    });
    const all = (): void => {
      showsAll = true;
      drawLists();
    };
    fill(
      said,
      h("h3", {}, WORDS.said),
      standing.length === 0
        ? h("p", {}, WORDS.none)
        : plainTable(WORDS.said, [columns.day, columns.crew, columns.people, columns.hours, columns.method, columns.correct], table),
      shown.length < standing.length ? h("button", { type: "button", on: { click: all } }, WORDS.all(standing.length)) : null,
    );
  };
  const read = async (): Promise<void> => {
    if (reading?.forecast.season_id == null) return;
    const { crew_days } = await api.crewDays(farm.id);
    standing = standingCrewDays(crew_days, reading.forecast.season_id);
    drawLists();
  };
  const failed = (error: unknown): void => frame.said.say(sentence(error, SHELL.noAnswer), "bad");
  const look = (): void => void read().catch(failed);
  frame.box.addEventListener("toggle", () => {
    if (frame.box.open) look();
  });
  const anew = (): void => begin(null, { crew_id: crew.input.value, day: farm.today });
  fill(
    frame.fields,
    h("p", {}, WORDS.lead),
    missing,
    said,
    h("h3", {}, WORDS.form),
    about,
    h("div", { class: "form" }, crew.box, day.box, people.box, hours.box, method.box),
    h("button", { type: "button", class: "quiet", on: { click: anew } }, WORDS.drop),
  );
  return {
    box: frame.box,
    draw(now) {
      const isFirst = reading === null;
      reading = now;
      if (isFirst) anew();
      if (frame.box.open) look();
    },
  };
}
