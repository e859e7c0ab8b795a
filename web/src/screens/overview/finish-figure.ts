/** When the season will be finished: asked for once the overview is drawn, for it is reckoned and takes a moment. */

import { FINISH, answerWords } from "../../core/finish-wording";
import { roleAt, roleScreens } from "../../core/who";
import { forecastApi } from "../../data/forecast-api";
import { fill } from "../../ui/dom";
import type { Context } from "../context";
import { placeLink } from "../place-link";

/**
 * Put the forecast in place of the words beside what is left, once it is there. Where nothing can be forecast they stay: what
 * is made and needed a day is better than nothing, and the forecast's own page tells what is missing.
 */
export async function tellFinish(words: HTMLElement, day: string, context: Context): Promise<void> {
  const { farm, who, go, request } = context;
  const role = roleAt(who, farm.id);
  const mayOpen = role !== null && roleScreens(role).some((screen) => screen === "forecast");
  const link = (text: string): HTMLElement => placeLink({ screen: "forecast", block: null }, text, go);
  const told = await forecastApi(request).forecast(farm.id, day).catch(() => null);
  const answer = told === null ? null : answerWords(told);
  if (answer !== null) fill(words, mayOpen ? link(answer) : answer);
  else if (mayOpen && told?.missing.length !== 0) words.append(" ", link(told === null ? FINISH.noAnswer : FINISH.notYet));
}
