/** The fields of an opened point. Each change is taken at once; what is wrong stands at its field. */

import type { Point, PointClass, PointKind, PointUnit } from "../../core/brief-contracts";
import { limitText, typedLimit } from "../../core/brief-limits";
import { changed, KIND_USES, kindsOf, languagesOf } from "../../core/brief-points";
import { KIND, languageWord, POINT, POINT_CLASS, UNIT } from "../../core/briefs-wording";
import { h } from "../../ui/dom";
import { areaField, choiceField, textField, type Field } from "../../ui/field";
import type { Desk } from "./desk";
import { pictureChoice } from "./picture-choice";

/** Letters that fill the lines beside a drawing on a card, more or less. */
const LONG = 160;

export interface PointForm {
  box: HTMLElement;
  /** Follow the point's kind, and show what is wrong. */
  draw(): void;
  focus(part: string): void;
}
type AnyField = Field<HTMLInputElement> | Field<HTMLTextAreaElement> | Field<HTMLSelectElement>;

function choices<Value extends string>(words: Record<Value, string>): { value: string; label: string }[] {
  return Object.entries<string>(words).map(([value, label]) => ({ value, label }));
}

/** Return the form of a point that is in the draft. */
export function pointForm(desk: Desk, key: string, pictures: readonly string[]): PointForm {
  const find = (): Point | undefined => desk.content().points.find((point) => point.key === key);
  const start = find();
  if (start === undefined) throw new Error(`The draft has no point ${key}.`);
  const take = (change: Partial<Point>): void => desk.change({ points: changed(desk.content().points, key, change) });

  const sentences = languagesOf(desk.content()).map((language, at) => {
    const hint = at === 0 ? POINT.sentenceHint : "";
    const field = areaField(POINT.sentence(languageWord(language)), start.sentences[language] ?? "", { lang: language }, hint);
    const long = h("p", { class: "field-hint", role: "status" });
    const measured = (): void => {
      long.textContent = field.input.value.length > LONG ? POINT.long : "";
    };
    field.input.addEventListener("input", () => {
      take({ sentences: { ...find()?.sentences, [language]: field.input.value } });
      measured();
    });
    measured();
    field.box.append(long);
    return field;
  });
  const kind = choiceField(POINT.kind, choices(KIND), start.kind);
  const pointClass = choiceField(POINT.pointClass, choices(POINT_CLASS), start.point_class);
  const source = textField(POINT.source, start.source, {}, POINT.sourceHint);
  const isChecked = h("input", { type: "checkbox" });
  isChecked.checked = start.is_checked;
  const limits = (["low", "high"] as const).map((part) => {
    const field = textField(POINT[part], limitText(start[part], start.kind), { inputmode: "decimal" });
    const read = (): void => {
      const value = typedLimit(field.input.value, find()?.kind ?? start.kind);
      if (value !== undefined) take({ [part]: value });
      else field.complain(POINT.noNumber);
    };
    field.input.addEventListener("input", read);
    return { part, field };
  });
  const unit = choiceField(POINT.unit, [], "");
  const followKind = (point: Point): void => {
    const uses = KIND_USES[point.kind];
    for (const { part, field } of limits) field.box.hidden = !uses[part] && point[part] === null;
    const [, high] = limits;
    const label = high?.field.box.querySelector("label");
    if (label) label.textContent = point.kind === "ratio" ? POINT.highShare : POINT.high;
    unit.box.hidden = uses.units.length < 2;
    unit.input.replaceChildren(...uses.units.map((one) => h("option", { value: one }, UNIT[one])));
    unit.input.value = point.unit;
  };
  const asKind = kindsOf();
  kind.input.addEventListener("change", () => {
    const point = find();
    if (point === undefined) return;
    const now = { ...point, ...asKind(point, kind.input.value as PointKind) };
    for (const { part, field } of limits) field.input.value = limitText(now[part], now.kind);
    followKind(now);
    take(now);
  });
  unit.input.addEventListener("change", () => take({ unit: unit.input.value as PointUnit }));
  pointClass.input.addEventListener("change", () => take({ point_class: pointClass.input.value as PointClass }));
  source.input.addEventListener("input", () => take({ source: source.input.value }));
  isChecked.addEventListener("change", () => take({ is_checked: isChecked.checked }));
  const picture = pictureChoice(start.picture, pictures, (name) => take({ picture: name }));
  followKind(start);

  const fields: Record<string, AnyField | undefined> = { kind, unit, source };
  for (const { part, field } of limits) fields[part] = field;
  /** Return the sentence to write next: the first one that is missing, else the first. */
  const sentenceField = (): AnyField | undefined => sentences.find(({ input }) => input.value.trim() === "") ?? sentences[0];
  const complain = (field: AnyField | undefined, part: string): void => {
    const told = desk.problems().filter((one) => one.key === key && one.part === part);
    field?.complain(told.map(({ what }) => what).join(" "));
  };
  return {
    box: h(
      "div",
      { class: "point-form" },
      ...sentences.map(({ box }) => box),
      h("div", { class: "form" }, kind.box, ...limits.map(({ field }) => field.box), unit.box, pointClass.box, source.box),
      h("label", { class: "radio" }, isChecked, h("span", {}, POINT.isChecked)),
      picture,
    ),
    draw() {
      const point = find();
      if (point === undefined) return;
      for (const part of ["kind", "unit", "source"]) complain(fields[part], part);
      for (const field of sentences) field.complain("");
      complain(sentenceField(), "sentences");
      for (const { part, field } of limits) {
        // a text that is no number keeps its own complaint until it is one
        if (typedLimit(field.input.value, point.kind) !== undefined) complain(field, part);
      }
    },
    focus: (part) => (fields[part] ?? sentenceField())?.input.focus(),
  };
}
