/** What can be done with one row. */

import { trees } from "../../core/counted";
import type { GroundRow } from "../../core/ground-contracts";
import { lengthened, moved } from "../../core/ground-rows";
import { GROUND } from "../../core/ground-wording";
import { typeable, typedNumber } from "../../core/numbers";
import { h } from "../../ui/dom";
import { textField, type Field } from "../../ui/field";
import type { Wish } from "./ground-state";
import { places } from "./places";

const MOST = 10_000;

export function wholeOf(text: string, least: number, most: number): number | null {
  const typed = typedNumber(text);
  return typed !== null && Number.isInteger(typed) && typed >= least && typed <= most ? typed : null;
}

/** A form of a few fields with one button. */
export function smallForm(fields: readonly Field<HTMLInputElement>[], button: string, key: string, done: () => void, hint = ""): HTMLElement {
  const submit = (event: Event): void => {
    event.preventDefault();
    done();
  };
  return h(
    "form",
    { class: "ground-form", novalidate: true, on: { submit } },
    ...fields.map(({ box }) => box),
    hint === "" ? null : h("p", { class: "field-hint" }, hint),
    h("button", { type: "submit", "data-key": key }, button),
  );
}

export function folded(title: string, key: string, open: Set<string>, ...inside: (Node | null)[]): HTMLElement {
  const toggle = (event: Event): void => {
    if ((event.currentTarget as HTMLDetailsElement).open) open.add(key);
    else open.delete(key);
  };
  return h("details", { class: "ground-fold", open: open.has(key), on: { toggle } }, h("summary", { "data-key": `fold-${key}` }, title), ...inside);
}

/** Return what is typed in metres, or null; nothing typed is 0. */
export function metresOf(field: Field<HTMLInputElement>): number | null {
  const text = field.input.value.trim();
  const value = text === "" ? 0 : typedNumber(text);
  field.complain(value === null ? GROUND.mustBeMetres : "");
  return value;
}

/** Return the count typed into a field, null for none (the rule's number), undefined for what is no count. */
export function countOf(field: Field<HTMLInputElement>): number | null | undefined {
  const text = field.input.value.trim();
  const counted = text === "" ? null : wholeOf(text, 0, MOST);
  const isWrong = text !== "" && counted === null;
  field.complain(isWrong ? GROUND.mustBeWhole : "");
  return isWrong ? undefined : counted;
}

/** Return the edit that counts a row: what lies beyond its new end is forgotten. */
export function countWish(row: GroundRow, counted: number | null): Wish {
  const end = counted ?? ruleOf(row);
  const inside = (found: readonly number[]): number[] => found.filter((position) => position <= end);
  return { kind: "count-row", row: row.number, counted_positions: counted, blanks: inside(row.blanks), pollinizers: inside(row.pollinizers) };
}

function ruleOf({ part_positions }: GroundRow): number {
  return part_positions.reduce((sum, one) => sum + one, 0);
}

function countForm(row: GroundRow, edit: (wish: Wish) => void): HTMLElement {
  const now = row.counted_positions === null ? "" : typeable(row.counted_positions);
  const field = textField(GROUND.counted, now, { inputmode: "numeric", "data-key": "count" }, GROUND.countedHint(ruleOf(row)));
  return smallForm([field], GROUND.count, "count-do", () => {
    const counted = countOf(field);
    if (counted !== undefined) edit(countWish(row, counted));
  });
}

function splitForm(row: GroundRow, edit: (wish: Wish) => void): HTMLElement {
  const field = textField(GROUND.splitAfter, "", { inputmode: "numeric", "data-key": "split" }, GROUND.splitHint);
  return smallForm([field], GROUND.splitDo, "split-do", () => {
    const after = wholeOf(field.input.value, 1, row.positions - 1);
    field.complain(after === null ? GROUND.mustBeNumber : "");
    if (after !== null) edit({ kind: "split-row", row: row.number, after, number: null });
  });
}

function numberForm(row: GroundRow, edit: (wish: Wish) => void): HTMLElement {
  const field = textField(GROUND.newNumber, "", { inputmode: "numeric", "data-key": "number" });
  return smallForm([field], GROUND.numberDo, "number-do", () => {
    const then = wholeOf(field.input.value, 1, 100_000);
    field.complain(then === null ? GROUND.mustBeNumber : "");
    if (then !== null) edit({ kind: "number-rows", numbers: [[row.number, then]] });
  });
}

function moveForm(row: GroundRow, edit: (wish: Wish) => void): HTMLElement {
  const metres = (label: string, key: string): Field<HTMLInputElement> => textField(label, "", { inputmode: "decimal", "data-key": key });
  const fields = [
    metres(GROUND.east, "east"),
    metres(GROUND.north, "north"),
    metres(GROUND.longerFirst, "longer-first"),
    metres(GROUND.longerLast, "longer-last"),
  ];
  return smallForm(
    fields,
    GROUND.moveDo,
    "move-do",
    () => {
      const [east, north, first, last] = fields.map(metresOf);
      if (east == null || north == null || first == null || last == null) return;
      const put = row.parts.map((part) => moved(part, east, north));
      edit({ kind: "move-row", row: row.number, parts: lengthened(lengthened(put, "first", first), "last", last) });
    },
    `${GROUND.negative} ${GROUND.dragHint}`,
  );
}

export interface RowPanelState {
  /** What is unfolded. */
  open: Set<string>;
  /** The position whose button Tab reaches. */
  at: number;
  /** Show the row large on the plan. */
  look(): void;
}

/** Return the panel of a row. */
export function rowPanel(row: GroundRow, edit: (wish: Wish) => void, { open, at, look }: RowPanelState): HTMLElement {
  const records = row.marks + row.others;
  const button = (key: string, text: string, wish: Wish): HTMLElement =>
    h("button", { type: "button", "data-key": key, on: { click: () => edit(wish) } }, text);
  return h(
    "section",
    { class: "ground-panel", "aria-label": GROUND.rowTitle(row.number) },
    h("h2", {}, GROUND.rowTitle(row.number)),
    h("p", {}, GROUND.rowFacts(trees(row.trees), row.positions, row.length_m)),
    records > 0 ? h("p", { class: "feature-note" }, GROUND.recordedHere(records)) : null,
    h("h3", {}, GROUND.places),
    h("p", { class: "field-hint" }, GROUND.placesHelp),
    places(row, (found) => edit({ kind: "count-row", row: row.number, counted_positions: row.counted_positions, ...found }), at),
    countForm(row, edit),
    h(
      "div",
      { class: "line-buttons" },
      button("turn", GROUND.turn, { kind: "turn-rows", rows: [row.number] }),
      button("drop", GROUND.drop, { kind: "drop-rows", rows: [row.number] }),
      h("button", { type: "button", "data-key": "look", on: { click: look } }, GROUND.look),
    ),
    folded(GROUND.number, "number", open, numberForm(row, edit)),
    folded(GROUND.split, "split", open, splitForm(row, edit)),
    folded(GROUND.move, "move", open, moveForm(row, edit)),
  );
}
