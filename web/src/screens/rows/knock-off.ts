/** Knock-off: the people and hours of the crew's day, beside what it pruned; entered again it corrects the earlier entry. */

import type { BlockSummary, Crew, Method } from "../../core/contracts";
import { beginWith, newCrewDay, pace, saysNothingNew, type KeptCrewDay } from "../../core/knock-off";
import { KNOCK_OFF } from "../../core/rows-wording";
import { METHOD } from "../../core/wording";
import { fill, h } from "../../ui/dom";
import { choiceField, dayField } from "../../ui/field";
import { notice } from "../../ui/notice";
import { stepper } from "../../ui/stepper";
import { recorderId, stamp, type Context } from "../context";
import type { Panel } from "./action-bar";
import { readDay, type DayReading } from "./day-reading";

export interface CrewWork {
  crew: Crew;
  seasonId: string;
  blocks: readonly BlockSummary[];
}

const HALVES = 2;
const MOST_PEOPLE = 200;
const MOST_HOURS = 24;

/** Return the panel. */
export function knockOff(context: Context, { crew, seasonId, blocks }: CrewWork, close: () => void): Panel {
  const { farm, sending, deviceId } = context;
  const work = h("p", { class: "day-work" });
  const perHour = h("p", { class: "day-pace", role: "status" });
  const said = notice();
  const day = dayField(KNOCK_OFF.day, farm.today, { max: farm.today });
  const people = stepper(KNOCK_OFF.people, { less: KNOCK_OFF.lessPeople, more: KNOCK_OFF.morePeople }, () => drawPace());
  // counted in halves, so that 7.5 hours are 15 touches' worth and no rounding
  const hours = stepper(KNOCK_OFF.hours, { less: KNOCK_OFF.lessHours, more: KNOCK_OFF.moreHours }, () => drawPace(), HALVES);
  const methods = Object.entries(METHOD).map(([value, label]) => ({ value, label }));
  const method = choiceField(KNOCK_OFF.method, methods, crew.method);
  const enter = h("button", { type: "button", class: "main", disabled: true, on: { click: () => void take() } }, KNOCK_OFF.enter);
  let reading: DayReading | null = null;
  let asked = 0;

  const entry = (): KeptCrewDay | undefined => reading?.entries.at(-1);
  const drawPace = (): void => {
    const made = pace(reading?.work.trees ?? 0, { people: people.value(), hours: hours.value() });
    perHour.textContent = made === null ? KNOCK_OFF.noPace : KNOCK_OFF.pace(made);
  };
  const draw = (now: DayReading): void => {
    const begin = beginWith(now.entries.at(-1), now.before, crew);
    people.set(begin.people, 1, MOST_PEOPLE);
    hours.set(begin.hours, 1 / HALVES, MOST_HOURS);
    method.input.value = begin.method;
    const codes = now.work.blocks.map((id) => blocks.find((block) => block.id === id)?.code ?? "?").sort();
    work.textContent = [
      KNOCK_OFF.work(crew.name, now.work.trees, now.work.rows, codes.join(", ")),
      now.partly ? KNOCK_OFF.partly : "",
    ]
      .join(" ")
      .trim();
    enter.disabled = false;
    sayEntry();
    drawPace();
  };
  const sayEntry = (): void => {
    const now = entry();
    enter.textContent = now === undefined ? KNOCK_OFF.enter : KNOCK_OFF.correct;
    if ((reading?.entries.length ?? 0) > 1) said.say(KNOCK_OFF.several, "bad");
    else said.say(now === undefined ? "" : KNOCK_OFF.entered(now.people, now.hours), "good");
  };
  const read = async (): Promise<void> => {
    asked += 1;
    const mine = asked;
    enter.disabled = true;
    work.textContent = KNOCK_OFF.loading;
    const fresh = await readDay(context, { crewId: crew.id, day: day.input.value || farm.today, blocks });
    if (mine !== asked) return;
    reading = fresh;
    draw(fresh);
  };
  const take = async (): Promise<void> => {
    if (reading === null) return;
    const entered = { people: people.value(), hours: hours.value(), method: method.input.value as Method };
    if (saysNothingNew(reading.entries, entered)) return sayEntry();
    enter.disabled = true;
    const about = { seasonId, crewId: crew.id, day: day.input.value || farm.today, deviceId, recorderId: recorderId(context) };
    const record = newCrewDay(about, entered, entry()?.id ?? null, stamp());
    const fate = await sending.handIn(farm.id, { kind: "crew_days", values: [record] }, { block: "", row: 0 });
    enter.disabled = false;
    if (fate.state === "refused") return said.say(fate.problem.message, "bad");
    if (fate.state === "not-sent") return said.say(KNOCK_OFF.notSafe, "bad");
    reading = { ...reading, entries: [record] };
    sayEntry();
  };
  day.input.addEventListener("change", () => void read());
  people.set(1, 1, MOST_PEOPLE);
  hours.set(8, 1 / HALVES, MOST_HOURS);
  void read();
  const box = h("div", { class: "knock-off" });
  fill(
    box,
    h("div", { class: "day-told" }, h("h2", {}, KNOCK_OFF.title), work, perHour, said.box),
    h("div", { class: "day-fields" }, people.box, hours.box, day.box, method.box),
    h("div", { class: "day-do" }, h("button", { type: "button", on: { click: close } }, KNOCK_OFF.back), enter),
  );
  return { box };
}
