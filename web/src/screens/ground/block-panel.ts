/** What can be done with the whole block: moved, cut, joined, drawn round, laid anew, taken away. */

import type { Lonlat, Variety } from "../../core/contracts";
import { onlyRing, outlineOf, ringsOf } from "../../core/corners";
import type { BlockGround } from "../../core/ground-contracts";
import { between } from "../../core/ground-rows";
import { GROUND } from "../../core/ground-wording";
import { IMPORT } from "../../core/set-up-wording";
import type { FarmBlock } from "../../data/ground-api";
import { h } from "../../ui/dom";
import { choiceField, textField } from "../../ui/field";
import { choiceBox } from "./choice-box";
import { cornersField } from "./corners-field";
import type { GroundPlan } from "./ground-plan";
import type { Wish } from "./ground-state";
import { pickTwo } from "./pick-points";
import { plantingFields } from "./planting-fields";
import { folded, metresOf, smallForm } from "./row-panel";

export interface CutDraft {
  code: string;
  otherSide: boolean;
}
export interface BlockPanelHears {
  edit(wish: Wish, others?: Readonly<Record<string, string>>): void;
  freshId(): string;
  /** Read the shape version of another block, which an edit is made from. */
  versionOf(block: string): Promise<string>;
  failed(error: unknown): void;
  varieties: readonly Variety[];
  /** What is typed about a cut while the panel is drawn anew. */
  cut: CutDraft;
  /** Where the block is surveyed again from a file. */
  survey: () => HTMLElement;
}

function namePart(ground: BlockGround, varieties: readonly Variety[], { edit }: BlockPanelHears): HTMLElement {
  const code = textField(IMPORT.code, ground.code, { maxlength: 20, "data-key": "block-code" }, GROUND.nameBlockHelp);
  const name = textField(IMPORT.name, ground.name, { maxlength: 200, "data-key": "block-name" });
  const none = { value: "", label: IMPORT.noVariety };
  const variety = choiceField(IMPORT.variety, [none, ...varieties.map((one) => ({ value: one.id, label: one.name }))], ground.variety_id ?? "");
  const form = smallForm([code, name], GROUND.nameBlockDo, "block-name-do", () => {
    const named = code.input.value.trim();
    code.complain(named === "" ? IMPORT.mustHaveCode : "");
    if (named === "") return;
    const variety_id = variety.input.value === "" ? null : variety.input.value;
    edit({ kind: "name-block", code: named, name: name.input.value.trim() || named, variety_id });
  });
  form.lastElementChild?.before(variety.box);
  return form;
}

function shiftPart({ edit }: BlockPanelHears): HTMLElement {
  const east = textField(GROUND.east, "", { inputmode: "decimal", "data-key": "shift-east" });
  const north = textField(GROUND.north, "", { inputmode: "decimal", "data-key": "shift-north" });
  return smallForm(
    [east, north],
    GROUND.shiftDo,
    "shift-do",
    () => {
      const [east_m, north_m] = [metresOf(east), metresOf(north)];
      if (east_m !== null && north_m !== null) edit({ kind: "shift-block", east_m, north_m });
    },
    GROUND.negative,
  );
}

function cutPart(ground: BlockGround, chosen: readonly number[], plan: GroundPlan, { edit, freshId, cut: draft }: BlockPanelHears): HTMLElement {
  const code = textField(GROUND.cutCode, draft.code, { maxlength: 20, "data-key": "cut-code" });
  code.input.addEventListener("input", () => (draft.code = code.input.value));
  const side = choiceBox(GROUND.cutOtherSide(ground.code), "cut-side");
  side.input.checked = draft.otherSide;
  side.input.addEventListener("change", () => (draft.otherSide = side.input.checked));
  const cut = (line: [Lonlat, Lonlat]): void => {
    const named = code.input.value.trim();
    code.complain(named === "" ? GROUND.needsCode : "");
    if (named === "") return;
    edit({ kind: "split-block", cut: line, made: freshId(), code: named, name: named, ...(draft.otherSide ? { other_side: true } : {}) });
    draft.code = "";
  };
  const rows = chosen.map((number) => ground.rows.find((row) => row.number === number));
  const [a, b] = rows;
  const line = rows.length === 2 && a !== undefined && b !== undefined ? between(a, b) : null;
  return h(
    "div",
    {},
    h("p", { class: "field-hint" }, GROUND.cutHelp),
    code.box,
    side.box,
    h(
      "div",
      { class: "line-buttons" },
      line === null || a === undefined || b === undefined
        ? null
        : h("button", { type: "button", "data-key": "cut-between", on: { click: () => cut(line) } }, GROUND.cutBetween(a.number, b.number)),
      pickTwo(plan, { button: GROUND.cutDraw, first: GROUND.cutFirst, second: GROUND.cutSecond }, (p, q) => cut([p, q])),
    ),
  );
}

function joinPart(ground: BlockGround, others: readonly FarmBlock[], hears: BlockPanelHears): HTMLElement | null {
  const found = others.filter(({ id }) => id !== ground.id).map(({ id, code }) => ({ value: id, label: code }));
  if (found.length === 0) return null;
  const which = choiceField(GROUND.joinBlockWhich, found, found[0]?.value ?? "");
  const join = async (): Promise<void> => {
    const other = which.input.value;
    try {
      hears.edit({ kind: "join-blocks", other }, { [other]: await hears.versionOf(other) });
    } catch (error) {
      hears.failed(error);
    }
  };
  return h(
    "div",
    {},
    h("p", { class: "field-hint" }, GROUND.joinBlockHelp),
    which.box,
    h("button", { type: "button", "data-key": "join-block", on: { click: () => void join() } }, GROUND.joinBlockDo),
  );
}

function layPart(ground: BlockGround, plan: GroundPlan, { edit }: BlockPanelHears): HTMLElement {
  const corners = cornersField(plan, () => undefined);
  corners.set(onlyRing(ground.outline));
  const whole = ringsOf(ground.outline);
  const planting = plantingFields(ground.planting, plan);
  const withOutline = choiceBox(GROUND.layOutline, "lay-outline");
  const outlineOnly = (): void => {
    const found = corners.corners();
    if (found !== null) edit({ kind: "draw-outline", outline: outlineOf(found) });
  };
  const lay = (): void => {
    const numbers = planting.planting();
    const found = withOutline.input.checked ? corners.corners() : [];
    if (numbers === null || found === null) return;
    edit({ kind: "lay-block", planting: numbers, ...(found.length > 0 ? { outline: outlineOf(found) } : {}) });
  };
  return h(
    "div",
    {},
    h("h3", {}, GROUND.outline),
    whole.parts > 1 || whole.holes > 0 ? h("p", { class: "feature-note" }, GROUND.outlineWhole(whole.parts, whole.holes)) : null,
    corners.box,
    h("button", { type: "button", "data-key": "outline-do", on: { click: outlineOnly } }, GROUND.outlineDo),
    h("h3", {}, GROUND.lay),
    h("p", { class: "field-hint" }, GROUND.layHelp),
    planting.box,
    withOutline.box,
    h("button", { type: "button", "data-key": "lay-do", on: { click: lay } }, GROUND.layDo),
  );
}

/** Return the panel of the block. */
export function blockPanel(
  ground: BlockGround,
  chosen: readonly number[],
  others: readonly FarmBlock[],
  plan: GroundPlan,
  hears: BlockPanelHears,
  open: Set<string>,
): HTMLElement {
  const drop = (): void => hears.edit({ kind: "drop-block" });
  return h(
    "section",
    { class: "ground-panel", "aria-label": GROUND.block },
    h("h2", {}, GROUND.block),
    folded(GROUND.nameBlock, "name-block", open, namePart(ground, hears.varieties, hears)),
    folded(GROUND.cut, "cut", open, cutPart(ground, chosen, plan, hears)),
    folded(GROUND.lay, "lay", open, layPart(ground, plan, hears)),
    folded(GROUND.survey, "survey", open, hears.survey()),
    folded(GROUND.shift, "shift", open, shiftPart(hears)),
    folded(GROUND.joinBlock, "join-block", open, joinPart(ground, others, hears)),
    folded(GROUND.dropBlock, "drop-block", open, h("button", { type: "button", "data-key": "drop-block-do", on: { click: drop } }, GROUND.dropBlock)),
  );
}
