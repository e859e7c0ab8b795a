/** The form that makes a return: crew, due day, what to look at, which trees; begun with what the lot or area says. */

import type { FullLot, NewReturn, WeakArea } from "../../core/quality-contracts";
import { crewOfArea, daysLater, failedKeys, isPartSent } from "../../core/quality-lots";
import { RETURN_FORM } from "../../core/quality-lot-wording";
import { h } from "../../ui/dom";
import { areaField, choiceField, dayField, radioGroup } from "../../ui/field";
import { notice } from "../../ui/notice";
import { freshId } from "../context";
import { because, placeOfPart, type Desk } from "./desk";

/** Common practice: a crew is given a few days. */
const DAYS_GIVEN = 3;
const OF_LOT = "lot";
const OF_REST = "rest";

export interface ReturnMade {
  lot?: FullLot;
  area?: WeakArea;
  /** Whether the form stands open. */
  isOpen: boolean;
}
interface PointTicks {
  box: HTMLElement | null;
  read(): string[];
}

function pointTicks(points: readonly { key: string; sentence: string }[], ticked: readonly string[]): PointTicks {
  const ticks = points.map(({ key, sentence: words }) => {
    const input = h("input", { type: "checkbox" });
    input.checked = ticked.includes(key);
    return { key, input, box: h("label", { class: "radio" }, input, h("span", {}, words)) };
  });
  const boxes = (isTicked: boolean): HTMLElement[] => ticks.filter(({ key }) => ticked.includes(key) === isTicked).map(({ box }) => box);
  const others = boxes(false);
  const rest =
    ticked.length === 0 ? others : others.length === 0 ? [] : [h("details", {}, h("summary", {}, RETURN_FORM.otherPoints), ...others)];
  return {
    box: ticks.length === 0 ? null : h("fieldset", { class: "return-points" }, h("legend", {}, RETURN_FORM.points), ...boxes(true), ...rest),
    read: () => ticks.filter(({ input }) => input.checked).map(({ key }) => key),
  };
}

type Which = Pick<NewReturn, "area" | "stretches">;

/** Return the choice between the lot's trees, those that were never sent back, and the weak areas, where there is one. */
function whichTrees({ lot, area }: ReturnMade): { box: HTMLElement | null; read(): Which } {
  const ofArea = (one: WeakArea | null): Which => ({ area: one, stretches: null });
  if (lot === undefined) return { box: null, read: () => ofArea(area ?? null) };
  const areas = lot.weak_areas.filter(({ state }) => state !== "none");
  const choices = [
    ...(isPartSent(lot) ? [{ value: OF_REST, label: RETURN_FORM.ofRest(lot.not_sent_back) }] : []),
    { value: OF_LOT, label: RETURN_FORM.ofLot(lot.lot_trees) },
    ...areas.map((one) => ({ value: one.id, label: RETURN_FORM.ofArea(one) })),
  ];
  const [first, ...others] = choices;
  if (first === undefined || others.length === 0) return { box: null, read: () => ofArea(null) };
  const radios = radioGroup(RETURN_FORM.which, choices, first.value);
  const read = (): Which =>
    radios.value() === OF_REST ? { area: null, stretches: lot.rest } : ofArea(areas.find(({ id }) => id === radios.value()) ?? null);
  return { box: radios.box, read };
}

/** Return the form; a lot's stands in a section, an area's within its card. */
export function returnForm(desk: Desk, about: ReturnMade): HTMLElement {
  const { context, api } = desk;
  const { farm } = context;
  const { lot, area } = about;
  const known = lot?.crew_id ?? (area === undefined ? null : crewOfArea(area)) ?? "";
  const crew = choiceField(RETURN_FORM.crew, [...(known === "" ? [{ value: "", label: "" }] : []), ...farm.crews.map(({ id, name }) => ({ value: id, label: name }))], known);
  const due = dayField(RETURN_FORM.due, daysLater(farm.today, DAYS_GIVEN), { min: farm.today });
  const points = pointTicks(lot?.points ?? area?.points ?? [], lot === undefined ? (area?.points ?? []).map(({ key }) => key) : failedKeys(lot));
  const which = whichTrees(about);
  const goes = h("p", {}, "");
  const sayTrees = (): void => {
    const n = lot?.lot_trees ?? area?.trees;
    // where there is a choice, each of its ways says how many
    if (which.box !== null || n === undefined) return;
    goes.textContent = RETURN_FORM.goesOver(farm.crews.find(({ id: of }) => of === crew.input.value)?.name ?? "", n);
  };
  crew.input.addEventListener("change", sayTrees);
  sayTrees();
  const note = areaField(RETURN_FORM.note, "", { maxlength: 500 }, RETURN_FORM.noteHint);
  const said = notice();
  const id = freshId();
  const read = (): NewReturn | null => {
    const isDay = due.input.value >= farm.today;
    due.complain(isDay ? "" : RETURN_FORM.needsDay);
    crew.complain(crew.input.value === "" ? RETURN_FORM.needsCrew : "");
    const block_id = lot?.block_id ?? area?.block_id;
    if (!isDay || crew.input.value === "" || block_id === undefined) return null;
    return {
      id, block_id, crew_id: crew.input.value, due_on: due.input.value, lot_id: lot?.id ?? null, ...which.read(),
      points: points.read(), note: note.input.value.trim(),
    };
  };
  const submit = async (event: Event): Promise<void> => {
    event.preventDefault();
    const wanted = read();
    if (wanted === null) return;
    said.say(RETURN_FORM.making);
    try {
      // the id stays the same for this form: sent again, nothing is made twice
      const { block_id } = await api.makeReturn(farm.id, wanted);
      context.go(placeOfPart("returns", { block: block_id }));
    } catch (error) {
      said.say(because(error, RETURN_FORM.notMade), "bad");
    }
  };
  const details = h(
    "details",
    { class: "return-form" },
    h("summary", {}, lot !== undefined && lot.returns.length > 0 ? RETURN_FORM.another : RETURN_FORM.title),
    h(
      "form",
      { novalidate: true, on: { submit: (event: Event) => void submit(event) } },
      h("p", {}, RETURN_FORM.lead),
      h("div", { class: "form" }, crew.box, due.box),
      which.box ?? goes,
      points.box,
      note.box,
      h("div", { class: "line-buttons" }, h("button", { type: "submit", class: "main" }, RETURN_FORM.make)),
      said.box,
    ),
  );
  details.open = about.isOpen;
  return details;
}
