/** The finish forecast: the answer first, its chart, what it would take, what if; then what it goes by. */

import type { Forecast } from "../../core/forecast-contracts";
import { FORECAST } from "../../core/forecast-wording";
import { addressOf } from "../../core/place";
import { reckonedBy, type Certainty, type Standing } from "../../core/what-if";
import { roleAt } from "../../core/who";
import { SHELL } from "../../core/wording";
import { Problem, sentence } from "../../data/request";
import { forecastApi } from "../../data/forecast-api";
import { fill, h } from "../../ui/dom";
import "../../ui/line-buttons.css";
import { emptyState, notice } from "../../ui/notice";
import type { Context, Screen } from "../context";
import { newsOf } from "../news";
import { answer, waysToForms } from "./answer";
import { blocksPart } from "./blocks-part";
import { burnUpFigure } from "./burn-up-figure";
import type { Desk, Reading } from "./desk";
import { driftFigure } from "./drift-figure";
import "./forecast.css";
import { goesBy } from "./goes-by";
import { pacesPart } from "./paces";
import { takes } from "./takes";
import { whatIf } from "./what-if";

const USUAL_CERTAINTY: Certainty = 0.9;

async function readAll({ context, api }: Desk): Promise<Reading & { cursor: number }> {
  const { id, today, crews } = context.farm;
  // before there is a season there is no calendar either
  const noSeason = (error: unknown): null => {
    if (error instanceof Problem && error.status === 404) return null;
    throw error;
  };
  const [overview, forecast, calendar] = await Promise.all([api.overview(id, today), api.forecast(id), api.calendar(id).catch(noSeason)]);
  const told = forecast.crews;
  const standing: Standing | null =
    calendar === null
      ? null
      : {
          calendar,
          people: new Map(told.map(({ crew_id, people }) => [crew_id, people])),
          crews: crews.map((crew) => ({ ...crew, method: told.find(({ crew_id }) => crew_id === crew.id)?.method ?? crew.method })),
        };
  const reckoned = reckonedBy((cases, certainty) => api.whatIf(id, cases, certainty));
  return { forecast, blocks: overview.blocks, calendar, standing, reckoned, cursor: overview.cursor };
}

/** Return the desk of whoever asks. */
function deskOf(context: Context): Desk {
  return { context, api: forecastApi(context.request), isManager: roleAt(context.who, context.farm.id) === "manager" };
}

/** Tell whether there is a forecast of trees that are left. */
function isAhead({ finish, trees_left }: Forecast): boolean {
  return finish !== null && trees_left > 0;
}

/** Show the screen. */
export const showForecast: Screen = (root, context) => {
  const desk = deskOf(context);
  let cursor: number | null = null;
  let certainty: Certainty = USUAL_CERTAINTY;
  let reading: Reading | null = null;
  let left = false;
  let visit = 0;
  const said = notice();
  const told = h("div", { class: "forecast-told" }, h("p", {}, SHELL.loading));
  const below = h("div", { class: "forecast-below" });
  const asked = takes(USUAL_CERTAINTY, (one) => {
    certainty = one;
    void reckon();
  });
  const compared = whatIf();
  const forms = goesBy(desk, () => void read());

  const reckon = async (keeps = false): Promise<void> => {
    const now = reading;
    const mustFinish = now?.forecast.must_finish_on ?? null;
    if (now === null || now.standing === null || mustFinish === null || !isAhead(now.forecast)) return;
    await asked.draw(now.reckoned, now.standing, { mustFinish, peopleEnd: now.forecast.people_end ?? null }, keeps);
    if (now === reading) await compared.draw(now, certainty);
  };
  const draw = (now: Reading, isUnasked: boolean): void => {
    const { forecast } = now;
    const hasMore = isAhead(forecast);
    fill(
      told,
      h(
        "div",
        { class: "forecast-parts" },
        answer(now, desk, forms.open),
        hasMore
          ? h("div", { class: "forecast-beside" }, h("div", {}, asked.box, desk.isManager ? waysToForms(forms.open) : null), driftFigure(forecast))
          : driftFigure(forecast),
        burnUpFigure(forecast),
      ),
      hasMore ? compared.box : null,
    );
    fill(below, hasMore ? blocksPart(now, desk) : null, forecast.missing.length === 0 ? pacesPart(forecast.paces, desk) : null);
    forms.draw(now);
    void reckon(isUnasked);
  };
  /** Come from where a crew is told to be silent: once, or a page that is loaded again would enter it again. */
  const sayAway = (): void => {
    const { crew } = context.place;
    if (crew === undefined) return;
    context.place = { screen: "forecast", block: null };
    history.replaceState(null, "", addressOf(context.place));
    if (context.farm.crews.some(({ id }) => id === crew)) forms.sayAway(crew);
  };
  const read = async (isUnasked = false): Promise<void> => {
    visit += 1;
    const mine = visit;
    try {
      const { cursor: upTo, ...now } = await readAll(desk);
      if (left || mine !== visit) return;
      said.say("");
      news.draw(() => {
        const wasRead = reading !== null;
        cursor = upTo;
        reading = now;
        draw(now, isUnasked && wasRead);
      }, isUnasked);
      sayAway();
    } catch (error) {
      if (left || mine !== visit || (isUnasked && reading !== null)) return;
      if (reading !== null) return said.say(sentence(error, SHELL.noAnswer), "bad");
      fill(told, emptyState(sentence(error, SHELL.noAnswer), { label: SHELL.tryAgain, run: () => void read() }));
    }
  };

  const body = h("div", { class: "forecast" }, told, below, forms.box);
  const news = newsOf({ body, cursor: () => cursor, read });
  fill(root, h("h1", { class: "unseen" }, FORECAST.title), news.line, said.box, body);
  void read();
  return {
    cursor: () => cursor,
    newer: news.newer,
    leave() {
      left = true;
      news.leave();
    },
  };
};
