/** Crew-days as a manager types and corrects them: those that are missing first, then what stands. */

import type { CrewDay } from "../../core/contracts";
import { refusedBy, standingCrewDays, stillWithoutHours } from "../../core/crew-day-list";
import type { ToldCrewDay } from "../../core/forecast-contracts";
import { GOES_BY } from "../../core/forecast-wording";
import { newCrewDay } from "../../core/knock-off";
import { count, measure, weekdayText } from "../../core/numbers";
import { METHOD, SHELL } from "../../core/wording";
import { sentence } from "../../data/request";
import { fill, h } from "../../ui/dom";
import { recorderId, stamp } from "../context";
import { crewDayFields, type CrewDaySubject } from "./crew-day-fields";
import { crewName, plainTable, type Desk, type Reading } from "./desk";
import { formFrame } from "./form-frame";
import type { FormPart } from "./goes-by";

const WORDS = GOES_BY.crewDays;
/** So many entries are shown before one asks for all. */
const SHOWN = 12;

/** Return the form. */
export function crewDaysForm(desk: Desk, saved: () => void): FormPart {
  const { context, api } = desk;
  const { farm } = context;
  let reading: Reading | null = null;
  let standing: ToldCrewDay[] = [];
  let showsAll = false;
  const missing = h("div", {});
  const said = h("div", {});
  const fields = crewDayFields(desk);
  const wordsOf = ({ crew_id, day }: CrewDaySubject): [crew: string, day: string] => [crewName(context, crew_id), weekdayText(day)];
  const begin = (one: ToldCrewDay | null, subject: CrewDaySubject): void => {
    fields.begin(one, subject, reading);
    frame.said.say("");
  };
  const start = (one: ToldCrewDay | null, subject: CrewDaySubject): void => {
    begin(one, subject);
    fields.focus();
  };
  /** The service took the entry, or set it aside for a reason. */
  const came = async (subject: CrewDaySubject, setAside: string): Promise<void> => {
    if (setAside !== "") return frame.said.say(WORDS.setAside(setAside), "bad");
    await read();
    begin(null, subject);
    frame.said.say(WORDS.kept(...wordsOf(subject)), "good");
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
  const enter = async (record: CrewDay): Promise<void> => {
    const fate = await context.sending.handIn(farm.id, { kind: "crew_days", values: [record] }, { block: "", row: 0 });
    if (fate.state === "refused") frame.said.say(fate.problem.message, "bad");
    if (fate.state === "not-sent") frame.said.say(WORDS.notSafe, "bad");
    if (fate.state === "answered") await came(record, fate.receipts[0]?.outcome === "set_aside" ? fate.receipts[0].reason : "");
    if (fate.state === "kept") whenSaid(record);
  };
  const take = async (): Promise<boolean> => {
    const entered = fields.typed();
    const correcting = fields.correcting();
    const subject = fields.subject();
    const seasonId = correcting?.season_id ?? farm.season?.id;
    const why = entered === null || seasonId === undefined ? "mend" : refusedBy(standing, subject, entered, correcting);
    if (why !== null) frame.said.say({ mend: GOES_BY.mend, twice: WORDS.twice, same: WORDS.nothingNew }[why], "bad");
    else if (entered !== null && seasonId !== undefined) {
      const about = { crewId: subject.crew_id, day: subject.day, seasonId, deviceId: context.deviceId, recorderId: recorderId(context) };
      await enter(newCrewDay(about, entered, correcting?.id ?? null, stamp()));
    }
    return false; // what came of it is said here
  };
  const frame = formFrame(WORDS.title, take, WORDS.put);
  const button = (words: string, label: string, click: () => void): HTMLElement => h("button", { type: "button", "aria-label": label, on: { click } }, words);
  const drawMissing = (): void => {
    const open = stillWithoutHours(reading?.forecast.without_hours ?? [], standing);
    const lines = open.map((one) => {
      const [name, on] = wordsOf(one);
      return h("li", { class: "forecast-line" }, h("span", {}, WORDS.missingLine(on, name, one.trees)), button(WORDS.enter, WORDS.enterOf(on, name), () => start(null, one)));
    });
    fill(missing, ...(open.length === 0 ? [] : [h("h3", {}, WORDS.missing), h("ul", { class: "plain-list" }, ...lines)]));
  };
  const drawStanding = (): void => {
    const shown = showsAll ? standing : standing.slice(0, SHOWN);
    const { columns } = WORDS;
    const heads = [columns.day, columns.crew, columns.people, columns.hours, columns.method, columns.correct];
    const lines = shown.map((one) => {
      const [name, on] = wordsOf(one);
      return [on, name, count(one.people), measure(one.hours), METHOD[one.method], button(WORDS.correct, WORDS.correctOf(on, name), () => start(one, one))];
    });
    const all = (): void => {
      showsAll = true;
      drawStanding();
    };
    fill(
      said,
      h("h3", {}, WORDS.said),
      standing.length === 0 ? h("p", {}, WORDS.none) : plainTable(WORDS.said, heads, lines),
      shown.length < standing.length ? h("button", { type: "button", on: { click: all } }, WORDS.all(standing.length)) : null,
    );
  };
  const read = async (): Promise<void> => {
    if (reading?.forecast.season_id == null) return;
    const { crew_days } = await api.crewDays(farm.id);
    standing = standingCrewDays(crew_days, reading.forecast.season_id);
    drawMissing();
    drawStanding();
  };
  const failed = (error: unknown): void => frame.said.say(sentence(error, SHELL.noAnswer), "bad");
  const look = (): void => void read().catch(failed);
  frame.box.addEventListener("toggle", () => {
    if (frame.box.open) look();
  });
  const anew = (): void => begin(null, { crew_id: fields.subject().crew_id, day: farm.today });
  const again = h("button", { type: "button", class: "quiet", on: { click: anew } }, WORDS.drop);
  fill(frame.fields, h("p", {}, WORDS.lead), missing, said, h("h3", {}, WORDS.form), fields.box, again);
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
