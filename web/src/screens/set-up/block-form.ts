/** What must be said about one block: code, variety, spacings, bearing or two points along row 1. */

import { bearingFor, bearingSource, codeProblem, isComplete, suggestionText, type Draft } from "../../core/drafts";
import { bearingBetween_deg } from "../../core/plan-frame";
import { PLANTING_FIELDS, plantingProblems, type PlantingField } from "../../core/planting";
import { IMPORT } from "../../core/set-up-wording";
import { fill, h, s } from "../../ui/dom";
import { choiceField, textField, type Field } from "../../ui/field";
import type { Context } from "../context";
import { planResult } from "./plan-result";

export interface BlockForm {
  box: HTMLElement;
  /** What belongs beside the plan: the two points, and what came out. */
  beside: HTMLElement;
  /** Show the draft's own values again. */
  draw(): void;
  /** Show what the service worked out. */
  drawResult(): void;
}
export interface FormHears {
  changed(...drafts: Draft[]): void;
  pick(picking: boolean): void;
  pickingText(): string;
}

const LABEL: Record<PlantingField, [label: string, hint: string]> = {
  row_spacing_m: [IMPORT.rowSpacing, ""],
  tree_spacing_m: [IMPORT.treeSpacing, ""],
  end_offset_m: [IMPORT.endOffset, IMPORT.endOffsetHint],
  first_row_offset_m: [IMPORT.firstRowOffset, IMPORT.firstRowOffsetHint],
  headland_m: [IMPORT.headland, IMPORT.headlandHint],
  bearing_deg: [IMPORT.bearing, IMPORT.bearingHint],
};

/** What nobody can guess, and what is easily forgotten; the rest starts with a number that mostly holds. */
const ASKED: readonly PlantingField[] = ["row_spacing_m", "tree_spacing_m", "headland_m", "bearing_deg"];

/** Return an arrow that points along the rows, north up. */
function bearingArrow(bearing_deg: number): SVGSVGElement {
  const arrow = s("path", { d: "M0 9V-9M-5 -3L0 -9L5 -3", transform: `rotate(${bearing_deg})`, class: "bearing-arrow" });
  return s("svg", { viewBox: "-12 -12 24 24", class: "bearing-picture", "aria-hidden": "true" }, arrow);
}

function nameFields(context: Context, draft: Draft, drafts: readonly Draft[], hears: FormHears): HTMLElement[] {
  const code = textField(IMPORT.code, draft.code, { maxlength: 20 }, IMPORT.codeHint);
  code.input.addEventListener("input", () => {
    draft.code = code.input.value;
    code.complain(codeProblem(draft, drafts));
    hears.changed(draft);
  });
  const name = textField(IMPORT.name, draft.name, { maxlength: 200 }, IMPORT.nameHint);
  name.input.addEventListener("input", () => {
    draft.name = name.input.value;
  });
  const varieties = context.farm.varieties.map((variety) => ({ value: variety.id, label: variety.name }));
  const variety = choiceField(IMPORT.variety, [{ value: "", label: IMPORT.noVariety }, ...varieties], draft.varietyId);
  variety.input.addEventListener("change", () => {
    draft.varietyId = variety.input.value;
  });
  return [code.box, name.box, variety.box];
}

/** Return suggestions by bearing as it would be typed; equal ones share their words. */
function distinctBearings(offered: readonly { label: string; bearing_deg: number }[]): [text: string, label: string][] {
  const byText = new Map<string, string>();
  for (const { label, bearing_deg } of offered) {
    const text = suggestionText(bearing_deg);
    const before = byText.get(text);
    byText.set(text, before === undefined ? label : `${before}, ${label}`);
  }
  return [...byText];
}

/** Return the form. */
export function blockForm(context: Context, draft: Draft, drafts: readonly Draft[], hears: FormHears): BlockForm {
  const fields = new Map<PlantingField, Field<HTMLInputElement>>();
  const result = h("div", { class: "plan-result", role: "status" });
  const suggestions = h("div", { class: "suggestions" });
  const pointWords = h("div", { class: "points" });
  const points = h("div", { class: "points" });
  const applied = h("p", { role: "status" });
  let touched = isComplete(draft);

  const complain = (): void => {
    const problems = plantingProblems(draft.typed, draft.firstRow);
    // an empty field is not scolded before anything was typed
    for (const [key, field] of fields) {
      field.complain(touched || draft.typed[key].trim() !== "" ? (problems[key] ?? "") : "");
    }
    // what is wrong must not lie folded
    if (PLANTING_FIELDS.some((key) => !ASKED.includes(key) && problems[key] !== undefined)) more.open = true;
  };
  const typed = (key: PlantingField, value: string): void => {
    draft.typed[key] = value;
    touched = touched || PLANTING_FIELDS.every((one) => draft.typed[one].trim() !== "");
    complain();
    hears.changed(draft);
  };
  for (const key of PLANTING_FIELDS) {
    const [label, hint] = LABEL[key];
    const field = textField(label, draft.typed[key], { inputmode: "decimal", name: key }, hint);
    field.input.addEventListener("input", () => typed(key, field.input.value));
    fields.set(key, field);
  }
  const drawPoints = (): void => {
    const text = hears.pickingText();
    const set = draft.firstRow;
    const button = (label: string, click: () => void, name = ""): HTMLElement =>
      h("button", { type: "button", class: name, on: { click } }, label);
    fill(
      pointWords,
      set === null ? null : h("p", {}, IMPORT.pointsSet(bearingBetween_deg(set[0], set[1]))),
      text === "" ? null : h("p", { role: "status" }, h("strong", {}, text)),
    );
    fill(
      points,
      text === ""
        ? button(IMPORT.twoPoints, () => pick(true), "main")
        : button(IMPORT.stopPoints, () => pick(false)),
      set === null
        ? null
        : button(IMPORT.dropPoints, () => {
            draft.firstRow = null;
            draw();
            hears.changed(draft);
          }),
    );
  };
  const pick = (picking: boolean): void => {
    hears.pick(picking);
    drawPoints();
  };
  const drawResult = (): void => {
    fill(result, ...planResult(draft));
    fill(
      suggestions,
      ...(draft.firstRow !== null ? [] : distinctBearings(draft.offered)).map(([text, label]) => {
        const use = (): void => {
          const field = fields.get("bearing_deg");
          if (field !== undefined) field.input.value = text;
          typed("bearing_deg", text);
        };
        return h("button", { type: "button", class: "bearing", on: { click: use } }, bearingArrow(Number(text)), `${text}°: ${label}`);
      }),
    );
    drawPoints();
  };
  const draw = (): void => {
    for (const [key, field] of fields) {
      // the bearing that is shown is the one that the rows have
      field.input.value =
        key === "bearing_deg" && draft.firstRow !== null ? suggestionText(bearingBetween_deg(...draft.firstRow)) : draft.typed[key];
      const replaced = draft.firstRow !== null && (key === "bearing_deg" || key === "first_row_offset_m");
      field.input.disabled = replaced;
    }
    complain();
    drawResult();
  };
  const applyToAll = (): void => {
    const others = drafts.filter((other) => other !== draft && other.take);
    for (const other of others) {
      other.typed = { ...draft.typed, bearing_deg: bearingFor(other, draft) };
      other.varietyId = other.varietyId === "" ? draft.varietyId : other.varietyId;
      other.planned = null;
    }
    const bare = others.filter((other) => bearingSource(other) === "none").length;
    applied.textContent = [
      IMPORT.applied(others.length),
      IMPORT.appliedBearing(bearingSource(draft), draft.firstRow === null ? 0 : bearingBetween_deg(...draft.firstRow)),
      bare === 0 ? "" : IMPORT.appliedBare(bare),
    ].join(" ");
    hears.changed(...others);
  };
  const boxes = (keys: readonly PlantingField[]): HTMLElement[] => keys.flatMap((key) => fields.get(key)?.box ?? []);
  const more = h(
    "details",
    { class: "form-more" },
    h("summary", {}, IMPORT.more),
    h("div", { class: "form" }, ...boxes(PLANTING_FIELDS.filter((key) => !ASKED.includes(key)))),
  );
  const box = h(
    "section",
    { class: "block-form", "aria-label": draft.code },
    h("h3", {}, draft.feature === null ? IMPORT.formTitleOfRows(draft.code) : IMPORT.formTitle(draft.code, draft.feature.area_ha ?? 0)),
    h("div", { class: "form" }, ...nameFields(context, draft, drafts, hears), ...boxes(ASKED)),
    suggestions,
    more,
    drafts.length > 1 ? h("button", { type: "button", on: { click: applyToAll } }, IMPORT.applyToAll) : null,
    applied,
  );
  draw();
  return { box, beside: h("div", {}, pointWords, result, points), draw, drawResult };
}
