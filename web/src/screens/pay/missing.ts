/** What is missing for a run, each line one click from where it is mended. */

import type { PayGap, PayMissing, PayPreview } from "../../core/pay-contracts";
import { isNothing, moneyText } from "../../core/pay-money";
import { gapsTogether, type GapOfDays } from "../../core/pay-people";
import { PAY } from "../../core/pay-wording";
import type { Place } from "../../core/place";
import { h } from "../../ui/dom";
import { placeLink } from "../place-link";
import { crewName, personName, placeOfPart, workName, type Desk } from "./desk";

function line({ context }: Desk, words: string, to: Place, link: string, stops: boolean): HTMLElement {
  return h("li", { class: "pay-missing", "data-stops": stops ? "yes" : null }, h("span", {}, words), placeLink(to, link, context.go, { class: "button" }));
}

function missingLine(desk: Desk, { what, day, variety_id, method }: PayMissing): HTMLElement {
  const rate = what === "rate";
  return line(desk, rate ? PAY.noRate(workName(desk, variety_id, method), day) : PAY.noWage(day), placeOfPart("rules"), rate ? PAY.addRate : PAY.addWage, true);
}

/** Return where a gap is mended. */
function cure({ code, day, crew_id }: PayGap): [to: Place, words: string] {
  if (code === "several_crew_days") return [{ screen: "settling", block: null }, PAY.settle];
  if (code === "cut_week" || code === "not_in_a_run") return [placeOfPart("run", { day }), PAY.look];
  if (code === "hours_without_pay") return [placeOfPart("rules"), PAY.mend];
  return [placeOfPart("hours", { day, ...(crew_id !== null && { crew: crew_id }) }), PAY.typeHours];
}

function gapLine(desk: Desk, gap: GapOfDays, currency: string): HTMLElement {
  const money = isNothing(gap.unpaid ?? "0") ? "" : PAY.money(moneyText(gap.unpaid ?? "0"), currency);
  const { code, days, typed: n = 0, people: of = 0, person_id } = gap;
  const person = personName(desk, person_id ?? "");
  const words = PAY.gap(code, { crew: crewName(desk, gap.crew_id), days, person, n, of, money });
  return line(desk, words, ...cure(gap), false);
}

/** Return the section. */
export function missingPart(desk: Desk, { missing, gaps, currency }: PayPreview): HTMLElement {
  if (missing.length + gaps.length === 0) return h("p", { class: "notice", "data-tone": "good" }, PAY.nothingMissing);
  return h(
    "section",
    {},
    h("h3", {}, PAY.missing),
    h("p", {}, PAY.missingLead),
    h("ul", { class: "plain-list" }, ...missing.map((one) => missingLine(desk, one)), ...gapsTogether(gaps).map((one) => gapLine(desk, one, currency ?? ""))),
  );
}
