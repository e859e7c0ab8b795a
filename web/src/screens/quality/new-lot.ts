/** A new lot: whose trees, until when, by which plan; what follows is told as it is edited, and one button draws. */

import { byCode } from "../../core/block-order";
import type { Overview } from "../../core/contracts";
import { typedNumber } from "../../core/numbers";
import type { LotRequest, Return } from "../../core/quality-contracts";
import { NEW_LOT, QUALITY } from "../../core/quality-wording";
import { sentence } from "../../data/request";
import { fill, h } from "../../ui/dom";
import { choiceField, dayField, textField } from "../../ui/field";
import { notice } from "../../ui/notice";
import { freshId } from "../context";
import { placeOfLot, readingPart, type Desk, type Part } from "./desk";
import { plannedLot } from "./planned-lot";
import { planFields } from "./plan-fields";

/** So long nothing was changed before the plan is asked for. */
const STILL_MS = 350;
const WHOLE_BLOCK = "";
const MOST_EXTRA = 500;

interface Subject {
  box: HTMLElement;
  read(): Pick<LotRequest, "block_id" | "crew_id" | "until_day" | "return_id"> | undefined;
}

/** Return the fields of whose trees the lot holds. */
function subjectFields({ context }: Desk, { blocks }: Overview, changed: () => void): Subject {
  const { farm, place } = context;
  const begun = blocks.filter(({ pruned, id }) => pruned > 0 || id === place.block).sort(byCode);
  const names = begun.map(({ id, code, variety }) => ({ value: id, label: [code, variety].filter(Boolean).join(", ") }));
  const block = choiceField(QUALITY.block, names, place.block ?? begun[0]?.id ?? "");
  const whose = [...farm.crews.map(({ id, name }) => ({ value: id, label: name })), { value: WHOLE_BLOCK, label: QUALITY.wholeBlock }];
  const crew = choiceField(NEW_LOT.whose, whose, place.crew ?? (place.block === null ? (farm.crews[0]?.id ?? WHOLE_BLOCK) : WHOLE_BLOCK));
  const until = dayField(NEW_LOT.until, farm.today, { max: farm.today });
  for (const { input } of [block, crew, until]) input.addEventListener("change", changed);
  return {
    box: h("div", { class: "form" }, block.box, crew.box, until.box),
    read() {
      const day = until.input.value;
      const well = day !== "" && day <= farm.today;
      until.complain(well ? "" : NEW_LOT.needsDay);
      if (!well) return undefined;
      return { block_id: block.input.value, crew_id: crew.input.value || null, until_day: day, return_id: null };
    },
  };
}

/** Return what a recheck's lot holds: the return's trees, as they are. */
function recheckSubject({ number, block_code, crew, id, block_id, crew_id }: Return): Subject {
  return {
    box: h("p", { class: "quality-lead" }, NEW_LOT.recheckOf(number, block_code, crew)),
    read: () => ({ block_id, crew_id, until_day: null, return_id: id }),
  };
}

function form(desk: Desk, subjectOf: (changed: () => void) => Subject): HTMLElement {
  const { api, context } = desk;
  const { farm, go } = context;
  const told = h("div", { class: "planned", "aria-live": "polite" });
  const said = notice();
  const id = freshId();
  let asked = 0;
  let timer = 0;
  const changed = (): void => {
    clearTimeout(timer);
    timer = window.setTimeout(() => void plan(), STILL_MS);
  };
  const subject = subjectOf(changed);
  const fields = planFields(changed);
  const extra = textField(NEW_LOT.extra, "", { inputmode: "numeric", maxlength: 3 }, NEW_LOT.extraHint);
  extra.input.addEventListener("input", changed);
  const read = (): LotRequest | undefined => {
    const whose = subject.read();
    const chosen = fields.read();
    const typed = extra.input.value.trim() === "" ? null : typedNumber(extra.input.value);
    const isExtra = extra.input.value.trim() === "" || (typed !== null && Number.isInteger(typed) && typed >= 0 && typed <= MOST_EXTRA);
    extra.complain(isExtra ? "" : NEW_LOT.needsExtra);
    return whose === undefined || chosen === undefined || !isExtra ? undefined : { ...whose, plan: chosen, extra: typed };
  };
  const draw = async (lot: LotRequest, button: HTMLButtonElement): Promise<void> => {
    button.disabled = true;
    said.say(NEW_LOT.drawing);
    try {
      // the id stays the same for this form: asked again, nothing is drawn twice
      const { id: drawn } = await api.drawLot(farm.id, id, lot);
      go(placeOfLot(drawn));
    } catch (error) {
      button.disabled = false;
      said.say(sentence(error, NEW_LOT.notDrawn), "bad");
    }
  };
  const plan = async (): Promise<void> => {
    asked += 1;
    const mine = asked;
    const lot = read();
    said.say("");
    if (lot === undefined) return fill(told);
    try {
      const planned = await api.planLot(farm.id, lot);
      if (mine !== asked) return;
      fields.suggest(planned.plan);
      fill(told, ...plannedLot(planned, lot.extra ?? 0, (button) => void draw(lot, button)));
    } catch (error) {
      if (mine !== asked) return;
      fill(told);
      said.say(sentence(error, NEW_LOT.notDrawn), "bad");
    }
  };
  void plan();
  return h(
    "div",
    { class: "new-lot" },
    h("form", { class: "new-lot-fields", novalidate: true, on: { submit: (event: Event) => event.preventDefault() } }, subject.box, fields.box, extra.box),
    h("section", { class: "new-lot-plan" }, h("h2", {}, NEW_LOT.thePlan), said.box, told),
  );
}

/** Show the part. */
export const showNewLot: Part = (root, desk) => {
  const { api, context } = desk;
  const { farm, place } = context;
  const shown = readingPart(
    root,
    () =>
      Promise.all([
        context.api.overview(farm.id, farm.today),
        place.recheck === undefined ? null : api.returns(farm.id),
      ]),
    ([overview, returns]) => {
      const recheck = returns?.returns.find(({ id }) => id === place.recheck);
      if (recheck === undefined && !overview.blocks.some(({ pruned }) => pruned > 0)) {
        return { cursor: null, content: [h("p", {}, NEW_LOT.noBlocks)] };
      }
      const subject = (changed: () => void): Subject =>
        recheck === undefined ? subjectFields(desk, overview, changed) : recheckSubject(recheck);
      return { cursor: null, content: [h("p", { class: "quality-lead" }, NEW_LOT.lead), form(desk, subject)] };
    },
  );
  // what is being filled in stays as it is
  return { ...shown, newer: () => undefined };
};
