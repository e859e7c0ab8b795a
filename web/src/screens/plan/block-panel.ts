/** What is known of the block that is picked, and everything that can be done with it. */

import { whereIs } from "../../core/plan-queues";
import { PLAN } from "../../core/plan-wording";
import { SHELL } from "../../core/wording";
import { sentence } from "../../data/request";
import { h } from "../../ui/dom";
import { choiceField, dayField } from "../../ui/field";
import { notice } from "../../ui/notice";
import { closuresPart, type ClosuresTools } from "./closures-part";
import { codeOf, crewName, daysOf, elsewhere, spansHere, type PlanDesk } from "./desk";
import { crewChoice, shiftButtons } from "./list-part";

export interface PanelTools {
  /** Why the proposal puts it where it does; nothing where none is looked at. */
  words: string | undefined;
  seasonEnds: string;
  keepTerms(terms: { must_finish_on: string | null; platform_fits: boolean | null }): Promise<void>;
  closures: Omit<ClosuresTools, "code">;
}
const FITS = { unknown: null, yes: true, no: false } as const;
type Fits = keyof typeof FITS;

function termsForm(desk: PlanDesk, block: string, { seasonEnds, keepTerms }: PanelTools): HTMLElement {
  const { own_must_finish_on: own = null, platform_fits: fits = null } = desk.board.blocks[block] ?? {};
  const day = dayField(PLAN.ownDay, own ?? "", { max: seasonEnds });
  day.box.append(h("p", { class: "field-hint" }, PLAN.ownDayHint(seasonEnds)));
  const known = (Object.keys(FITS) as Fits[]).find((name) => FITS[name] === fits) ?? "unknown";
  const platform = choiceField(PLAN.platform, (Object.keys(FITS) as Fits[]).map((value) => ({ value, label: PLAN.platformChoice[value] })), known);
  const said = notice();
  const keep = async (event: Event): Promise<void> => {
    event.preventDefault();
    try {
      await keepTerms({ must_finish_on: day.input.value === "" ? null : day.input.value, platform_fits: FITS[platform.input.value as Fits] });
    } catch (error) {
      said.say(sentence(error, SHELL.noAnswer), "bad");
    }
  };
  const form = h(
    "form",
    { class: "plan-terms", novalidate: true, on: { submit: (event: Event) => void keep(event) } },
    day.box,
    platform.box,
    h("button", { type: "submit" }, PLAN.keepTerms),
    said.box,
  );
  return h("details", {}, h("summary", {}, PLAN.terms), form);
}

/** Return what is known of a block in words. */
export function blockFacts(desk: PlanDesk, block: string): string {
  const told = desk.board.blocks[block];
  const crew = whereIs(desk.plan, block)?.crew ?? null;
  const span = crew === null ? undefined : spansHere(desk, crew).find((one) => one.block === block);
  const finish = span?.finish ?? desk.told?.blocks[block];
  const facts = [
    desk.names.get(block)?.variety ?? "",
    PLAN.left(told?.left ?? 0),
    told?.is_biennial === true ? PLAN.biennial : "",
    finish === undefined ? (span === undefined ? "" : daysOf(desk, span)) : PLAN.finish(finish.p50, finish.p90),
    told === undefined ? "" : PLAN.must(told.must_finish_on),
    ...(told?.closed ?? []).map(([first, last]) => PLAN.closed(first, last)),
    told?.worked ? PLAN.worked(crewName(desk, told.worked.crew_id), told.worked.day) : "",
  ];
  return facts.filter((fact) => fact !== "").join("; ");
}

/** Return the panel of the block that is picked. */
export function blockPanel(desk: PlanDesk, block: string, tools: PanelTools): HTMLElement {
  const crew = whereIs(desk.plan, block)?.crew ?? null;
  const other = elsewhere(desk, block);
  return h(
    "section",
    { class: "plan-panel", "aria-label": codeOf(desk, block) },
    h("h2", {}, codeOf(desk, block)),
    h("p", { class: "plan-facts" }, blockFacts(desk, block)),
    other === null ? null : h("p", {}, h("strong", {}, other)),
    tools.words === undefined ? null : h("p", { class: "plan-words" }, tools.words),
    h(
      "div",
      { class: "plan-doing" },
      h("div", { class: "line-buttons" }, ...shiftButtons(desk, block), h("label", { class: "plan-give" }, PLAN.giveTo, crewChoice(desk, block, crew)), h("button", { type: "button", class: "quiet", on: { click: () => desk.pick(null) } }, PLAN.hide)),
      termsForm(desk, block, tools),
      closuresPart(block, { ...tools.closures, code: codeOf(desk, block) }),
    ),
  );
}
