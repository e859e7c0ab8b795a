/** Forms of what the forecast goes by, folded away until one is wanted. */

import { GOES_BY } from "../../core/forecast-wording";
import { h } from "../../ui/dom";
import type { FormName, OpenForm } from "./answer";
import { calendarForm } from "./calendar-form";
import { crewDaysForm } from "./crew-days-form";
import type { Desk, Reading } from "./desk";
import { peopleForm } from "./people-form";

/** One form: it stays as it is while it is being filled in. */
export interface FormPart {
  box: HTMLDetailsElement;
  draw(reading: Reading): void;
}
export interface GoesBy {
  box: HTMLElement;
  draw(reading: Reading): void;
  open: OpenForm;
  /** Open the people of crews with a span in which a crew has nobody today. */
  sayAway(crew: string): void;
}

/** Return the forms of a manager; whoever else reads is shown none. `saved` hears when the forecast is to be reckoned again. */
export function goesBy(desk: Desk, saved: () => void): GoesBy {
  if (!desk.isManager) return { box: h("div", {}), draw: () => undefined, open: () => undefined, sayAway: () => undefined };
  const people = peopleForm(desk, saved);
  const parts: Record<FormName, FormPart> = { calendar: calendarForm(desk, saved), people, crew_days: crewDaysForm(desk, saved) };
  const all = Object.values(parts);
  const open: OpenForm = (form) => {
    const { box } = parts[form];
    box.open = true;
    box.querySelector("summary")?.focus();
    box.scrollIntoView();
  };
  return {
    box: h("section", { class: "forecast-goes-by" }, h("h2", {}, GOES_BY.title), ...all.map(({ box }) => box)),
    draw(reading) {
      for (const part of all) part.draw(reading);
    },
    open,
    sayAway(crew) {
      open("people");
      void people.sayAway(crew);
    },
  };
}
