/** One crew-day that was entered more than once: which of the entries stands. */

import { standingSettlements, type CrewDayEntry, type CrewDayMatter } from "../../core/matters";
import { SETTLING } from "../../core/settling-wording";
import { METHOD } from "../../core/wording";
import { h } from "../../ui/dom";
import { radioGroup } from "../../ui/field";
import { freshId } from "../context";
import { actsOf, type Act, type Card, type CardTools } from "./card";
import type { Knowing } from "./knowing";

function entryWords(entry: CrewDayEntry, knowing: Knowing): string {
  const tablet = knowing.tablet(entry.device_id);
  const by = SETTLING.by(knowing.person(entry.recorder_id), tablet === "" ? "" : SETTLING.tablet(tablet));
  return `${SETTLING.entry(entry.people, entry.hours)}; ${knowing.moment(entry.server_at)}; ${by}`;
}

/** Return the card. */
export function crewDayCard(matter: CrewDayMatter, knowing: Knowing, { deciding, settled }: CardTools): Card {
  const title = SETTLING.crewDayLine(knowing.crew(matter.crew_id), matter.day, METHOD[matter.method].toLowerCase());
  const choices = matter.entries.map((entry) => ({ value: entry.id, label: entryWords(entry, knowing) }));
  const radios = radioGroup(SETTLING.crewDayLead, choices, "");
  const act: Act = {
    label: SETTLING.stands,
    main: true,
    decide() {
      const stands = radios.value();
      if (stands === "") return SETTLING.chooseEntry;
      return {
        print: stands,
        make: () => standingSettlements(matter, stands, "", freshId),
        settled: SETTLING.standsNow,
      };
    },
  };
  const acts = actsOf([act], deciding, () => {
    for (const input of radios.box.querySelectorAll("input")) input.disabled = true;
    box.dataset["settled"] = "true";
    settled();
  });
  const box = h("article", { class: "matter" }, h("h3", {}, title), radios.box, acts.box);
  return { box, keep: () => acts.isSettled() || radios.value() !== "" };
}
