/** Set-up: season, crews, people, varieties, and blocks from a file. */

import type { Habit, Method, Role } from "../../core/contracts";
import { dayText } from "../../core/numbers";
import { SET_UP } from "../../core/set-up-wording";
import { HABIT, METHOD, ROLE } from "../../core/wording";
import { fill, h } from "../../ui/dom";
import { choiceField, dayField, textField } from "../../ui/field";
import { STILL, type Context, type Screen } from "../context";
import { blockLinks } from "../ground/block-links";
import { later } from "../later";
import { importSection } from "./import-section";
import { nameList } from "./name-list";
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

function seasonSection({ api, farm }: Context, added: () => Promise<void>): HTMLElement {
  const opens = dayField(SET_UP.opensOn, farm.today);
  const finish = dayField(SET_UP.mustFinishOn);
  const check = (): boolean => {
    opens.complain(opens.input.value === "" ? SET_UP.needsDay : "");
    const wrong =
      finish.input.value === ""
        ? SET_UP.needsDay
        : finish.input.value < opens.input.value
          ? SET_UP.finishBeforeOpen
          : "";
    finish.complain(wrong);
    return wrong === "" && opens.input.value !== "";
  };
  return nameList({
    title: SET_UP.season,
    none: SET_UP.seasonNone,
    lines: farm.seasons.map((one) => SET_UP.seasonLine(one.name, dayText(one.opens_on), dayText(one.must_finish_on))),
    button: SET_UP.makeSeason,
    another: SET_UP.another.season,
    name: textField(SET_UP.seasonName, farm.seasons.length === 0 ? winterOf(farm.today) : "", { maxlength: 200 }),
    more: [opens.box, finish.box],
    check,
    add: (name) =>
      api.addSeason(farm.id, { name, opens_on: opens.input.value, must_finish_on: finish.input.value }),
    added,
  });
}

function crewSection({ api, farm }: Context, added: () => Promise<void>): HTMLElement {
  const method = choiceField(SET_UP.method, choices(METHOD), "ladder");
  return nameList({
    title: SET_UP.crews,
    none: SET_UP.crewsNone,
    lines: farm.crews.map((crew) => `${crew.name}, ${METHOD[crew.method].toLowerCase()}`),
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
    lines: farm.people.map((person) => `${person.name}, ${ROLE[person.role]}`),
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
    lines: farm.varieties.map((variety) => `${variety.name}, ${HABIT[variety.habit]}`),
    button: SET_UP.makeVariety,
    another: SET_UP.another.variety,
    name: textField(SET_UP.varietyName, "", { maxlength: 200 }),
    more: [habit.box],
    add: (name) => api.addVariety(farm.id, { name, habit: habit.input.value as Habit }),
    added,
  });
}

const showGroundLater = later(async () => (await import("../ground/ground")).showGround);

/** Show the set-up screen; with a block in the address, the ground of that block. */
export const showSetUp: Screen = (root, context) => {
  if (context.place.block !== null) return showGroundLater(root, context);
  const lists = h("div", { class: "name-lists" });
  const blocks = importSection(context, () => {
    const now = blockLinks(context, () => undefined);
    links.replaceWith(now);
    links = now;
  });
  // only the lists are read anew: a file half set up below stays as it is
  const added = async (): Promise<void> => {
    await context.readFarm();
    drawLists();
    blocks.varietiesChanged();
  };
  const drawLists = (): void =>
    fill(
      lists,
      ...[seasonSection, crewSection, peopleSection, varietySection].map((section) => section(context, added)),
    );
  drawLists();
  const { season, crews } = context.farm;
  // once season and crew are there, the file comes first
  const folded =
    season === null || crews.length === 0
      ? lists
      : h("details", { class: "lists-folded" }, h("summary", {}, SET_UP.folded(season.name, crews.length)), lists);
  // where nothing is yet, the file comes first
  let links = blockLinks(context, () => blocks.box.after(links));
  fill(root, h("h1", {}, SET_UP.title), folded, links, blocks.box, rowLabels(context));
  return STILL;
};
