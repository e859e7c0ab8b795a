/** The corners of an outline: typed, or tapped on the plan. */

import type { Lonlat } from "../../core/contracts";
import { cornersOf, cornerText } from "../../core/corners";
import { GROUND } from "../../core/ground-wording";
import { h } from "../../ui/dom";
import { areaField } from "../../ui/field";
import type { GroundPlan } from "./ground-plan";

export interface CornersField {
  box: HTMLElement;
  /** The corners, or null where they do not make an outline; what is wrong stands at the field. */
  corners(): Lonlat[] | null;
  set(corners: readonly Lonlat[]): void;
}

/** Return the field; `changed` hears that the corners are others. */
export function cornersField(plan: GroundPlan, changed: () => void): CornersField {
  const field = areaField(GROUND.corners, "", { rows: 6, "data-key": "corners", class: "ground-corners" }, GROUND.outlineHelp);
  const show = (corners: readonly Lonlat[]): void => {
    field.input.value = cornerText(corners);
    field.complain("");
    plan.sketch(corners, true);
  };
  const button = (text: string, click: () => void, name = ""): HTMLElement => h("button", { type: "button", class: name, on: { click } }, text);
  const begin = (): void => {
    const before = field.input.value;
    let tapped: Lonlat[] = [];
    const back = button(GROUND.outlineUndo, () => tap(tapped.slice(0, -1)));
    const finish = button(
      GROUND.outlineFinish,
      () => {
        plan.stop();
        show(tapped);
        changed();
      },
      "main",
    );
    const tap = (next: Lonlat[]): void => {
      tapped = next;
      show(tapped);
      plan.ask(GROUND.outlineCorner(tapped.length), finish, back);
    };
    plan.pick({
      words: GROUND.outlineFirst,
      buttons: [finish, back],
      heard: (point) => tap([...tapped, point]),
      from: field.box,
      givenUp() {
        field.input.value = before;
      },
    });
  };
  field.input.addEventListener("input", () => {
    const { corners, wrongLine } = cornersOf(field.input.value);
    field.complain(wrongLine === null ? "" : GROUND.cornersWrong(wrongLine));
    if (wrongLine === null) plan.sketch(corners, true);
    changed();
  });
  return {
    box: h("div", {}, field.box, h("div", { class: "line-buttons" }, button(GROUND.outlineDraw, begin))),
    corners() {
      const { corners, wrongLine } = cornersOf(field.input.value);
      field.complain(wrongLine !== null ? GROUND.cornersWrong(wrongLine) : corners.length < 3 ? GROUND.cornersFew : "");
      return wrongLine === null && corners.length >= 3 ? corners : null;
    },
    set: (corners) => {
      field.input.value = cornerText(corners);
    },
  };
}
