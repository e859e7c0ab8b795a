/** The answer in one sentence, and what is missing for one, each with the way to where it is said. */

import type { Missing, PeopleEnd } from "../../core/forecast-contracts";
import { FORECAST, inTimeWords } from "../../core/forecast-wording";
import { heldUpBy } from "../../core/block-finish";
import { answerWords } from "../../core/finish-wording";
import { weekdayText } from "../../core/numbers";
import { h } from "../../ui/dom";
import { placeLink } from "../place-link";
import { crewName, type Desk, type Reading } from "./desk";

/** The forms at the foot of the screen. */
export type FormName = "calendar" | "people" | "crew_days";
export type OpenForm = (form: FormName) => void;

const MOST_NAMED = 4;
const FORM_OF: Record<string, FormName> = { expected_pace: "calendar", crews: "people" };

function wayTo(what: Missing, { context, isManager }: Desk, open: OpenForm): HTMLElement {
  const words = FORECAST.missingWay[what];
  if (!isManager || words === undefined) return h("span", {}, FORECAST.managerSays);
  const form = FORM_OF[what];
  if (form === undefined) return placeLink({ screen: "set-up", block: null }, words, context.go, { class: "button" });
  return h("button", { type: "button", on: { click: () => open(form) } }, words);
}

function missingList(missing: readonly Missing[], desk: Desk, open: OpenForm): HTMLElement {
  const lines = missing.map((what) => h("li", {}, h("span", {}, FORECAST.missing[what] ?? FORECAST.missingOther(what)), wayTo(what, desk, open)));
  return h("div", {}, h("p", { class: "forecast-answer" }, FORECAST.notYet), h("ul", { class: "plain-list forecast-missing" }, ...lines));
}

/** Return the ways to the forms, for when what they say no longer holds. */
export function waysToForms(open: OpenForm): HTMLElement {
  const forms: [FormName, string][] = [["calendar", FORECAST.toPace], ["people", FORECAST.toPeople], ["crew_days", FORECAST.toCrewDays]];
  return h("div", { class: "line-buttons" }, ...forms.map(([form, label]) => h("button", { type: "button", on: { click: () => open(form) } }, label)));
}

/** Return where it runs out of people, and the way to enter more. */
function peopleEnd(end: PeopleEnd, { isManager }: Desk, open: OpenForm): HTMLElement {
  const way = isManager ? h("button", { type: "button", on: { click: () => open("people") } }, FORECAST.toPeople) : null;
  return h("p", { class: "forecast-ends" }, h("strong", {}, FORECAST.peopleEnd(end)), " ", way);
}

/** Return the answer. */
export function answer({ forecast, blocks }: Reading, desk: Desk, open: OpenForm): HTMLElement {
  const { chance, must_finish_on, fan, trees_left, without_hours = [], gone = [], unsaid_today = [], people_end = null } = forecast;
  const words = answerWords(forecast);
  const last = heldUpBy(forecast.blocks, must_finish_on).slice(0, MOST_NAMED);
  const named = last.map(({ block_id, crew_id }) => FORECAST.ofCrew(blocks.find(({ id }) => id === block_id)?.code ?? "?", crewName(desk.context, crew_id)));
  const evening = fan[0]?.[0];
  const said =
    words === null
      ? [missingList(forecast.missing, desk, open)]
      : [
          h("p", { class: "forecast-answer" }, words),
          chance === null || must_finish_on === null || trees_left === 0 ? null : h("p", {}, inTimeWords(chance, must_finish_on, evening)),
          people_end === null ? null : peopleEnd(people_end, desk, open),
          named.length === 0 ? null : h("p", {}, FORECAST.hangsOn(named.join(", "))),
          evening === undefined ? null : h("p", { class: "forecast-small" }, FORECAST.upTo(weekdayText(evening))),
        ];
  return h(
    "section",
    { class: "forecast-says" },
    h("h2", { class: "unseen" }, FORECAST.answer),
    ...said,
    unsaid_today.length === 0 ? null : h("p", {}, FORECAST.unsaidToday(unsaid_today.map((id) => crewName(desk.context, id)).join(", "))),
    without_hours.length === 0 ? null : h("p", {}, FORECAST.withoutHours(without_hours.length)),
    ...gone.map(({ crew_id, last_day }) => h("p", {}, FORECAST.gone(crewName(desk.context, crew_id), weekdayText(last_day)))),
  );
}
