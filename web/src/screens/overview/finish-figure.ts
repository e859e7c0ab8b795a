/** When the season will be finished: asked for once the overview is drawn, for it is reckoned and takes a moment. */

import { FINISH, answerWords } from "../../core/finish-wording";
import type { BurnUpPart, Forecast } from "../../core/forecast-contracts";
import { GLANCE } from "../../core/glance-wording";
import { weekdayText } from "../../core/numbers";
import { roleAt, roleScreens } from "../../core/who";
import { fill } from "../../ui/dom";
import type { Context } from "../context";
import { placeLink } from "../place-link";

/**
 * Put the forecast in place of the words beside what is left. Where nothing can be forecast they stay: what is made and needed a
 * day is better than nothing, and the forecast's own page tells what is missing. `told` is null where no answer came.
 */
export function tellFinish(words: HTMLElement, told: Forecast | null, { farm, who, go }: Context, isThisSeason: boolean): void {
  const role = roleAt(who, farm.id);
  const mayOpen = role !== null && roleScreens(role).some((screen) => screen === "forecast");
  const link = (text: string): HTMLElement => placeLink({ screen: "forecast", block: null }, text, go);
  const answer = told === null ? null : answerWords(told);
  if (answer !== null) {
    fill(words, mayOpen ? link(answer) : answer);
    words.dataset["told"] = "true";
  }
  // of an earlier season nobody can say any more what is missing
  if (answer === null && mayOpen && isThisSeason && told?.missing.length !== 0) words.append(" ", link(told === null ? FINISH.noAnswer : FINISH.notYet));
}

/** Say when a part of the farm may be finished, behind the words that stand there: what is needed a day is told of no part by a forecast. */
export function tellPartFinish(words: HTMLElement, { finish, trees_left }: BurnUpPart, isOfCrew: boolean): void {
  if (trees_left === 0) return;
  words.dataset["told"] = "true";
  words.append(" ", partFinish(finish?.p50 ?? null, finish?.p90 ?? null, isOfCrew));
}

function partFinish(p50: string | null, p90: string | null, isOfCrew: boolean): string {
  if (p50 === null) return isOfCrew ? GLANCE.noGivenFinish : GLANCE.noFinish;
  const likely = weekdayText(p50);
  if (p90 === null) return isOfCrew ? GLANCE.givenLikely(likely) : GLANCE.likelyOnly(likely);
  return (isOfCrew ? GLANCE.givenFinish : GLANCE.finish)(likely, weekdayText(p90));
}
