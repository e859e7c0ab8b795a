/** What it would take to be in time: people more, days more, Saturdays; and how surely that is to be. */

import type { CaseFinish, PeopleEnd } from "../../core/forecast-contracts";
import { chanceText } from "../../core/finish-wording";
import { FORECAST, TAKES } from "../../core/forecast-wording";
import { weekdayText } from "../../core/numbers";
import { daysAfter } from "../../core/timing";
import { CERTAINTIES, otherSaturdays, type Certainty, type Reckoned, type Standing } from "../../core/what-if";
import { SATURDAY } from "../../core/working-calendar";
import { SHELL } from "../../core/wording";
import { sentence } from "../../data/request";
import { fill, h } from "../../ui/dom";
import { radioGroup } from "../../ui/field";

/** By which day, and where it runs out of people. */
export interface Asked {
  mustFinish: string;
  peopleEnd: PeopleEnd | null;
}
export interface Takes {
  box: HTMLElement;
  /** Reckon anew how things stand, for the certainty that is chosen; where it `keeps`, what was said before stands until then. */
  draw(reckoned: Reckoned, standing: Standing, to: Asked, keeps?: boolean): Promise<void>;
}

function saturdayWords(now: CaseFinish, other: CaseFinish, isWorked: boolean): string {
  const [as, otherwise] = [chanceText(now.chance), chanceText(other.chance)];
  return isWorked ? TAKES.saturdaysLess(as, otherwise) : TAKES.saturdaysMore(as, otherwise);
}

function daysLine({ sure_by }: CaseFinish, { mustFinish, peopleEnd }: Asked): string {
  if (sure_by === undefined) return "";
  if (sure_by === null) return peopleEnd === null ? TAKES.days(null, "") : TAKES.noPeople(peopleEnd.day);
  return TAKES.days(Math.max(0, daysAfter(mustFinish, sure_by)), weekdayText(sure_by));
}

/** Return the part; `chosen` hears another certainty. */
export function takes(begin: Certainty, chosen: (certainty: Certainty) => void): Takes {
  let certainty = begin;
  let asked = 0;
  const lines = h("ul", { class: "forecast-takes-lines", "aria-live": "polite" });
  const choices = CERTAINTIES.map((one) => ({ value: String(one), label: TAKES.sure[one] }));
  const group = radioGroup(TAKES.howSure, choices, String(begin), (value) => {
    certainty = CERTAINTIES.find((one) => String(one) === value) ?? begin;
    chosen(certainty);
  });
  return {
    box: h("section", { class: "forecast-takes" }, h("h2", {}, TAKES.title), group.box, lines),
    async draw(reckoned, { calendar }, to, keeps = false) {
      asked += 1;
      const mine = asked;
      const other = otherSaturdays(calendar);
      const sure = certainty;
      if (reckoned.of(other, sure) === null && !keeps) fill(lines, h("li", {}, FORECAST.reckoning));
      try {
        await reckoned.need([{}, other], sure);
      } catch (error) {
        if (mine === asked) fill(lines, h("li", {}, sentence(error, SHELL.noAnswer)));
        return;
      }
      const [now, otherwise] = [reckoned.of({}, sure), reckoned.of(other, sure)];
      if (mine !== asked || now === null || otherwise === null) return;
      const said = [TAKES.people(now.short_people), daysLine(now, to), saturdayWords(now, otherwise, calendar.weekdays[SATURDAY] === "1")];
      fill(lines, ...said.filter((one) => one !== "").map((one) => h("li", {}, one)));
    },
  };
}
