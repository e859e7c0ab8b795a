/** One overlap: the row with both claims, the marks behind them, and the choice that settles it. */

import { dayText } from "../../core/numbers";
import {
  cameSince,
  claimOf,
  creditsOf,
  heldBefore,
  settlementsOf,
  type Choice,
  type Credit,
  type Overlap,
  type OverlapMark,
} from "../../core/matters";
import { SETTLING } from "../../core/settling-wording";
import { h } from "../../ui/dom";
import { freshId } from "../context";
import { actsOf, type Act, type Card, type CardTools } from "./card";
import { choiceForm } from "./choice-form";
import type { Knowing } from "./knowing";
import { rowWay } from "./row-way";
import { claimSign, overlapPicture } from "./overlap-picture";

function creditWords(credits: readonly Credit[], knowing: Knowing): string {
  return credits
    .map(({ first, last, crewId }) =>
      SETTLING.settledPart(first, last, crewId === null ? SETTLING.creditedToNobody : SETTLING.creditedTo(knowing.crew(crewId))),
    )
    .join("; ");
}

function reopenedNote(overlap: Overlap, knowing: Knowing): HTMLElement | null {
  const before = heldBefore(overlap);
  if (overlap.status !== "reopened" || before === null) return null;
  const crew = before.credited_crew_id;
  const credited = crew === null ? SETTLING.creditedToNobody : SETTLING.creditedTo(knowing.crew(crew));
  return h(
    "p",
    { class: "reopened unsettled" },
    h("strong", {}, `${SETTLING.reopened}. `),
    SETTLING.heldBefore(knowing.moment(before.settled_at), credited),
    before.note === "" ? "" : ` ${before.note}`,
  );
}

function markLine(mark: OverlapMark, overlap: Overlap, isNew: boolean, knowing: Knowing): HTMLElement {
  const tablet = knowing.tablet(mark.device_id);
  const by = SETTLING.by(knowing.person(mark.recorder_id), tablet === "" ? "" : SETTLING.tablet(tablet));
  const lane = overlap.crews.findIndex((crew) => crew.id === mark.crew_id);
  return h(
    "tr",
    {},
    h("th", { scope: "row" }, h("span", { class: "claim-crew" }, claimSign(lane), mark.crew)),
    h("td", {}, SETTLING.part(mark.first, mark.last)),
    h("td", {}, dayText(mark.day)),
    h("td", {}, knowing.moment(mark.server_at), isNew ? h("strong", { class: "came-since" }, SETTLING.cameSince) : null),
    h("td", {}, by),
  );
}

function marksTable(overlap: Overlap, knowing: Knowing): HTMLElement {
  const since = new Set(cameSince(overlap).map((mark) => mark.id));
  const heads = Object.values(SETTLING.columns).map((word) => h("th", { scope: "col" }, word));
  const lines = overlap.marks.map((mark) => markLine(mark, overlap, since.has(mark.id), knowing));
  return h(
    "div",
    { class: "marks-frame", tabindex: "0", role: "region", "aria-label": SETTLING.marks },
    h("table", {}, h("thead", {}, h("tr", {}, ...heads)), h("tbody", {}, ...lines)),
  );
}

/** Return the claims in words, as the picture shows them. */
function claimWords(overlap: Overlap): string {
  return overlap.crews
    .map((crew) => {
      const parts = claimOf(overlap, crew.id).map(({ first, last }) => SETTLING.part(first, last));
      return SETTLING.claimOf(crew.name, parts.join(", "));
    })
    .join("; ");
}

/** Return the card; `settled` is called once the service has the settlement. */
export function overlapCard(overlap: Overlap, knowing: Knowing, { deciding, settled, go }: CardTools): Card {
  const picture = overlapPicture(overlap);
  const draw = (choice: Choice | null): void => {
    picture.draw(choice === null ? null : creditsOf(overlap, choice));
    acts.said.say(""); // what was said spoke of the choice before
  };
  const form = choiceForm(overlap, draw);
  const act: Act = {
    label: SETTLING.settle,
    main: true,
    decide() {
      const choice = form.choice();
      if (choice === null) return SETTLING.chooseFirst;
      const note = form.note();
      return {
        print: JSON.stringify([choice, note]),
        make: () => settlementsOf(overlap, choice, note, freshId),
        settled: SETTLING.settled(creditWords(creditsOf(overlap, choice), knowing)),
      };
    },
  };
  const acts = actsOf([act], deciding, () => {
    form.box.remove();
    box.dataset["settled"] = "true";
    settled();
  });
  const box = h(
    "article",
    { class: "matter", "data-status": overlap.status },
    h("h3", {}, SETTLING.place(knowing.code(overlap.block_id), overlap.row)),
    h("p", { class: "unsettled" }, SETTLING.contested(overlap.first, overlap.last, overlap.trees)),
    reopenedNote(overlap, knowing),
    picture.box,
    h("p", { class: "unseen" }, SETTLING.picture(claimWords(overlap))),
    marksTable(overlap, knowing),
    rowWay(overlap.block_id, overlap.row, go),
    form.box,
    acts.box,
  );
  return { box, keep: () => acts.isSettled() || form.touched() };
}
