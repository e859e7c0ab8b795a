/** A new lot: whose trees, until when, by which plan; what follows is told as it is edited, and one button draws. */

import { byCode } from "../../core/block-order";
import type { BlockSummary } from "../../core/contracts";
import { typedNumber } from "../../core/numbers";
import type { LotRequest, Return, WantingLot } from "../../core/quality-contracts";
import { wanting } from "../../core/quality-lots";
import { NEW_LOT, QUALITY } from "../../core/quality-wording";
import { fill, h } from "../../ui/dom";
import { choiceField, dayField, textField } from "../../ui/field";
import { notice } from "../../ui/notice";
import { freshId } from "../context";
import { because, placeOfLot, readingPart, type Desk, type Part } from "./desk";
import { plannedLot } from "./planned-lot";
import { planFields } from "./plan-fields";

/** So long nothing was changed before the plan is asked for. */
const STILL_MS = 350;
const WHOLE_BLOCK = "";
const MOST_EXTRA = 100;

/** What can be chosen: blocks with trees in no lot, and whose trees those are. */
interface Choices {
  blocks: readonly Pick<BlockSummary, "id" | "code" | "variety">[];
  wants: readonly WantingLot[];
}
interface Subject {
  box: HTMLElement;
  read(): Pick<LotRequest, "block_id" | "crew_id" | "until_day" | "return_id"> | undefined;
  /** Other trees are pruned now; what is chosen stays. */
  offer(choices: Choices): void;
}

/** Put other choices into a list; what is chosen stays chosen. */
function rechoose(list: HTMLSelectElement, choices: readonly { value: string; label: string }[]): void {
  const chosen = list.selectedOptions[0];
  fill(list, ...choices.map(({ value, label }) => h("option", { value }, label)));
  if (chosen === undefined) return;
  if (!choices.some(({ value }) => value === chosen.value)) list.append(chosen);
  list.value = chosen.value;
}

/** Return the crews with trees of a block in no lot, most trees first; all crews where that is not told. */
function crewChoices({ context }: Desk, wants: readonly WantingLot[], block: string): { value: string; label: string }[] {
  const { farm, place } = context;
  const here = wants.filter(({ block_id, crew_id }) => block_id === block && crew_id !== null);
  const told = here.map(({ crew_id, crew, trees }) => ({ value: crew_id ?? "", label: QUALITY.crewTrees(crew, trees) }));
  const others = farm.crews.filter(({ id }) => (here.length === 0 || id === place.crew) && !here.some(({ crew_id }) => crew_id === id));
  return [...told, ...others.map(({ id, name }) => ({ value: id, label: name })), { value: WHOLE_BLOCK, label: QUALITY.wholeBlock }];
}

function blockChoices(blocks: Choices["blocks"]): { value: string; label: string }[] {
  return [...blocks].sort(byCode).map(({ id, code, variety }) => ({ value: id, label: [code, variety].filter(Boolean).join(", ") }));
}

/** Return the fields of whose trees the lot holds. */
function subjectFields(desk: Desk, { blocks, wants }: Choices, changed: () => void): Subject {
  const { farm, place } = desk.context;
  let now = wants;
  const first = place.block ?? wants[0]?.block_id ?? blocks[0]?.id ?? "";
  const block = choiceField(QUALITY.block, blockChoices(blocks), first);
  const choices = crewChoices(desk, wants, first);
  const asked = place.crew ?? (place.block === null ? choices[0]?.value : WHOLE_BLOCK) ?? WHOLE_BLOCK;
  const crew = choiceField(NEW_LOT.whose, choices, asked);
  const until = dayField(NEW_LOT.until, farm.today, { max: farm.today });
  block.input.addEventListener("change", () => {
    fill(crew.input, ...crewChoices(desk, now, block.input.value).map(({ value, label }) => h("option", { value }, label)));
  });
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
    offer(choices) {
      now = choices.wants;
      rechoose(block.input, blockChoices(choices.blocks));
      rechoose(crew.input, crewChoices(desk, now, block.input.value));
    },
  };
}

/** Return what a recheck's lot holds: the return's trees, as they are. */
function recheckSubject({ number, block_code, crew, id, block_id, crew_id, state }: Return): Subject {
  const says = state === "open" ? NEW_LOT.lookFirst : NEW_LOT.recheckOf;
  return {
    box: h("p", { class: "quality-lead" }, says(number, block_code, crew)),
    read: () => ({ block_id, crew_id, until_day: null, return_id: id }),
    offer: () => undefined,
  };
}

/** The form, what may be chosen in it, and the way to have what follows from it told anew. */
interface LotForm {
  box: HTMLElement;
  offer: Subject["offer"];
  replan(): void;
}

function form(desk: Desk, subjectOf: (changed: () => void) => Subject): LotForm {
  const { api, context } = desk;
  const { farm, go } = context;
  const told = h("div", { class: "planned", "aria-live": "polite" });
  const said = notice();
  const id = freshId();
  let asked = 0;
  let timer = 0;
  let isDrawing = false;
  /** What is told, as the service said it. */
  let print = "";
  /** Why no lot came of it: said until something is changed here, whatever is marked elsewhere. */
  let isRefused = false;
  const replan = (): void => {
    clearTimeout(timer);
    timer = window.setTimeout(() => void plan(), STILL_MS);
  };
  const changed = (): void => {
    isRefused = false;
    replan();
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
    isDrawing = true;
    said.say(NEW_LOT.drawing);
    try {
      // the id stays the same for this form: asked again, nothing is drawn twice
      const { id: drawn } = await api.drawLot(farm.id, id, lot);
      go(placeOfLot(drawn));
    } catch (error) {
      button.disabled = false;
      isDrawing = false;
      isRefused = true;
      said.say(because(error, NEW_LOT.notDrawn), "bad");
    }
  };
  const plan = async (): Promise<void> => {
    asked += 1;
    const mine = asked;
    const lot = read();
    if (!isRefused) said.say("");
    const tell = (now: string, ...parts: HTMLElement[]): void => {
      if (now !== "" && now === print) return; // the button stays where it is
      print = now;
      fill(told, ...parts);
    };
    if (lot === undefined) return tell("");
    try {
      const planned = await api.planLot(farm.id, lot);
      if (mine !== asked) return;
      fields.suggest(planned.plan);
      tell(JSON.stringify([lot, planned]), ...plannedLot(planned, (button) => void draw(lot, button)));
    } catch (error) {
      if (mine !== asked) return;
      tell("");
      said.say(because(error, NEW_LOT.notDrawn), "bad");
    }
  };
  void plan();
  const box = h(
    "div",
    { class: "new-lot" },
    h("form", { class: "new-lot-fields", novalidate: true, on: { submit: (event: Event) => event.preventDefault() } }, subject.box, fields.box, extra.box),
    h("section", { class: "new-lot-plan" }, h("h2", {}, NEW_LOT.thePlan), said.box, told),
  );
  return { box, offer: subject.offer, replan: () => !isDrawing && replan() };
}

/** Show the part. */
export const showNewLot: Part = (root, desk) => {
  const { api, context } = desk;
  const { farm, place } = context;
  const lead = h("p", { class: "quality-lead" }, NEW_LOT.lead);
  /** It stays from one reading to the next, unless it was for another recheck. */
  let lot: (LotForm & { of: string }) | null = null;
  let heard = 0;
  const shown = readingPart(
    root,
    async () => {
      const [{ cursor, blocks }, lots] = await Promise.all([context.api.overview(farm.id, farm.today), api.lots(farm.id)]);
      const returns = place.recheck === undefined ? [] : (await api.returns(farm.id)).returns;
      const wants = wanting(lots, blocks);
      const offered = blocks.filter(({ id }) => id === place.block || wants.some(({ block_id }) => block_id === id));
      return {
        cursor,
        wants,
        blocks: offered.map(({ id, code, variety }) => ({ id, code, variety })),
        recheck: returns.find(({ id }) => id === place.recheck) ?? null,
      };
    },
    ({ recheck, ...choices }) => {
      if (recheck === null && choices.blocks.length === 0) {
        lot = null;
        return [h("p", {}, NEW_LOT.noBlocks)];
      }
      const of = JSON.stringify(recheck);
      if (lot?.of === of) lot.offer(choices);
      else lot = { ...form(desk, (changed) => (recheck === null ? subjectFields(desk, choices, changed) : recheckSubject(recheck))), of };
      return [lead, lot.box];
    },
  );
  return {
    ...shown,
    newer(records) {
      const upTo = (shown.cursor() ?? 0) + records;
      // what is being filled in stays as it is; what follows from it is told anew
      if (upTo > heard) lot?.replan();
      heard = upTo;
      shown.newer(records);
    },
  };
};
