/** Set-up: season, crews, people, varieties, and blocks from a file. */

import type { Crew, Habit, Method, Role, Season } from "../../core/contracts";
import { dayText } from "../../core/numbers";
import { SET_UP } from "../../core/set-up-wording";
import { HERE } from "../../core/who-wording";
import { HABIT, METHOD, ROLE } from "../../core/wording";
import { fill, h } from "../../ui/dom";
import { choiceField, dayField, textField } from "../../ui/field";
import { STILL, type Context, type Screen } from "../context";
import { blockLinks } from "../ground/block-links";
import { later } from "../later";
import { importSection } from "./import-section";
import { nameLine, nameList, type Correction, type NameLine } from "./name-list";
import { zoneField } from "./new-farm";
import { rowLabels } from "./row-labels";
import "./set-up.css";

function choices<Value extends string>(words: Record<Value, string>): { value: string; label: string }[] {
  return Object.entries<string>(words).map(([value, label]) => ({ value, label }));
}

/** Return a name for the season of a day: a dormant season that goes over New Year is named by both years. */
function winterOf(today: string): string {
  const [year = 0, month = 1] = today.split("-").map(Number);
  return SET_UP.winter(month >= 6 ? year : year - 1);
}

function seasonDays(opensOn: string, mustFinishOn: string) {
  const opens = dayField(SET_UP.opensOn, opensOn);
  const finish = dayField(SET_UP.mustFinishOn, mustFinishOn);
  const check = (): boolean => {
    opens.complain(opens.input.value === "" ? SET_UP.needsDay : "");
    const wrong =
      finish.input.value === ""
        ? SET_UP.needsDay
        : finish.input.value <= opens.input.value
          ? SET_UP.finishBeforeOpen
          : "";
    finish.complain(wrong);
    return wrong === "" && opens.input.value !== "";
  };
  return { more: [opens.box, finish.box], check, told: () => ({ opens_on: opens.input.value, must_finish_on: finish.input.value }) };
}

function correctName(words: string, label: string, name: string, save: (name: string) => Promise<unknown>): NameLine {
  return { words, correct: () => ({ name: textField(label, name, { maxlength: 200 }), more: [], save }) };
}

function farmSection({ api, farm }: Context, saved: () => Promise<void>): HTMLElement {
  const { name, time_zone } = farm;
  const correct = (): Correction => {
    const zone = zoneField(time_zone);
    let meant: string | null = null;
    const check = (): boolean => (meant = zone.read()) !== null;
    const save = (typed: string): Promise<unknown> => api.correctFarm(farm.id, { name: typed, time_zone: meant ?? time_zone });
    return { name: textField(SET_UP.farmName, name, { maxlength: 200 }), more: [zone.box], check, save };
  };
  const line = nameLine({ words: `${name}, ${time_zone}`, correct }, saved);
  return h("section", { class: "name-list farm-list" }, h("h2", {}, SET_UP.farm), h("ul", { class: "plain-list named" }, line));
}

function seasonSection({ api, farm }: Context, added: () => Promise<void>): HTMLElement {
  const correct = ({ id, name, opens_on, must_finish_on }: Season) => (): Correction => {
    const days = seasonDays(opens_on, must_finish_on);
    return { name: textField(SET_UP.seasonName, name, { maxlength: 200 }), ...days, save: (typed) => api.correctSeason(farm.id, id, { name: typed, ...days.told() }) };
  };
  const days = seasonDays(farm.today, "");
  return nameList({
    title: SET_UP.season,
    none: SET_UP.seasonNone,
    lines: farm.seasons.map((one) => ({ words: SET_UP.seasonLine(one.name, dayText(one.opens_on), dayText(one.must_finish_on)), correct: correct(one) })),
    button: SET_UP.makeSeason,
    another: SET_UP.another.season,
    name: textField(SET_UP.seasonName, farm.seasons.length === 0 ? winterOf(farm.today) : "", { maxlength: 200 }),
    ...days,
    add: (name) => api.addSeason(farm.id, { name, ...days.told() }),
    added,
  });
}

function crewSection({ api, farm }: Context, added: () => Promise<void>): HTMLElement {
  const method = choiceField(SET_UP.method, choices(METHOD), "ladder");
  const correct = ({ id, name, method: by }: Crew) => (): Correction => {
    const other = choiceField(SET_UP.method, choices(METHOD), by);
    const save = (typed: string): Promise<unknown> => api.correctCrew(farm.id, id, { name: typed, method: other.input.value as Method });
    return { name: textField(SET_UP.crewName, name, { maxlength: 200 }), more: [other.box], save };
  };
  return nameList({
    title: SET_UP.crews,
    none: SET_UP.crewsNone,
    lines: farm.crews.map((one) => ({ words: `${one.name}, ${METHOD[one.method].toLowerCase()}`, correct: correct(one) })),
    button: SET_UP.makeCrew,
    another: SET_UP.another.crew,
    name: textField(SET_UP.crewName, "", { maxlength: 200 }),
    more: [method.box],
    add: (name) => api.addCrew(farm.id, { name, method: method.input.value as Method }),
    added,
  });
}

function peopleSection({ api, farm }: Context, added: () => Promise<void>): HTMLElement {
  const role = choiceField(SET_UP.role, choices(ROLE), "auditor");
  const none = { value: "", label: SET_UP.noCrew };
  const crew = choiceField(SET_UP.ofCrew, [none, ...farm.crews.map(({ id, name }) => ({ value: id, label: name }))], "");
  return nameList({
    title: SET_UP.people,
    none: SET_UP.peopleNone,
    lines: farm.people.map(({ id, name, role: as }) => correctName(`${name}, ${ROLE[as]}`, SET_UP.personName, name, (typed) => api.renamePerson(farm.id, id, typed))),
    button: SET_UP.makePerson,
    another: SET_UP.another.person,
    name: textField(SET_UP.personName, "", { maxlength: 200 }),
    more: [role.box, crew.box],
    add: (name) =>
      api.addPerson(farm.id, {
        name,
        role: role.input.value as Role,
        ...(crew.input.value === "" ? {} : { crew_id: crew.input.value }),
      }),
    added,
  });
}

function varietySection({ api, farm }: Context, added: () => Promise<void>): HTMLElement {
  const habit = choiceField(SET_UP.habit, choices(HABIT), "unknown");
  return nameList({
    title: SET_UP.varieties,
    none: SET_UP.varietiesNone,
    lines: farm.varieties.map(({ id, name, habit: bears }) => correctName(`${name}, ${HABIT[bears]}`, SET_UP.varietyName, name, (typed) => api.renameVariety(farm.id, id, typed))),
    button: SET_UP.makeVariety,
    another: SET_UP.another.variety,
    name: textField(SET_UP.varietyName, "", { maxlength: 200 }),
    more: [habit.box],
    add: (name) => api.addVariety(farm.id, { name, habit: habit.input.value as Habit }),
    added,
  });
}

const showGroundLater = later(async () => (await import("../ground/ground")).showGround);

const FIELDS = ["input", "select"].join();

/** Return what a section's fields say, and how many are open. */
function filledIn(box: HTMLElement): string {
  return JSON.stringify([...box.querySelectorAll<HTMLInputElement | HTMLSelectElement>(FIELDS)].map(({ value }) => value));
}

/** Show the set-up screen; with a block in the address, the ground of that block. */
export const showSetUp: Screen = (root, context) => {
  if (context.place.block !== null) return showGroundLater(root, context);
  const lists = h("div", { class: "name-lists" });
  const blocks = importSection(context, () => {
    const now = blockLinks(context, () => undefined);
    links.replaceWith(now);
    links = now;
  });
  const summary = h("summary", {});
  const sections = [seasonSection, crewSection, peopleSection, varietySection, farmSection].map((draw) => ({ draw, box: h("section", {}), print: "[]" }));
  fill(lists, ...sections.map(({ box }) => box));
  // only the lists are read anew, and of them none that somebody fills in meanwhile: a file half set up below stays as it is
  const drawLists = (saved: (typeof sections)[number] | null): void => {
    for (const section of sections) {
      const before = section.box;
      const isBusy = filledIn(before) !== section.print || (document.activeElement?.matches(FIELDS) && before.contains(document.activeElement));
      if (section !== saved && isBusy) continue;
      section.box = section.draw(context, async () => {
        await context.readFarm();
        drawLists(section);
        blocks.varietiesChanged();
      });
      section.print = filledIn(section.box);
      before.replaceWith(section.box);
    }
    const { season, crews } = context.farm;
    if (season !== null) summary.textContent = SET_UP.folded(season.name, crews.length);
  };
  drawLists(null);
  // once season and crew are there, the file comes first
  const { season, crews, today } = context.farm;
  // after its last day the next season is what one comes for
  const isOver = season !== null && season.must_finish_on < today;
  const folded = season === null || crews.length === 0 ? lists : h("details", { class: "lists-folded", open: isOver }, summary, lists);
  // where nothing is yet, the file comes first
  let links = blockLinks(context, () => blocks.box.after(links));
  const toFarm = context.who.makes_farms ? h("p", {}, h("button", { type: "button", on: { click: () => context.go({ screen: "sign-in", block: null }) } }, HERE.anotherFarm)) : null;
  fill(root, h("h1", {}, SET_UP.title), folded, links, blocks.box, rowLabels(context), toFarm);
  return STILL;
};
