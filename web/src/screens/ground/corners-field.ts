/** The corners of an outline: typed, or tapped on the plan. */

import type { Lonlat } from "../../core/contracts";
import { cornersOf, cornerText } from "../../core/corners";
import { GROUND } from "../../core/ground-wording";
import { fill, h } from "../../ui/dom";
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
  const tools = h("div", { class: "line-buttons" });
  const told = h("p", { role: "status" });
  let tapped: Lonlat[] | null = null;
  const show = (corners: readonly Lonlat[]): void => {
    field.input.value = cornerText(corners);
    field.complain("");
    plan.sketch(corners, true);
  };
  const draw = (): void => {
    const button = (text: string, click: () => void, name = ""): HTMLElement => h("button", { type: "button", class: name, on: { click } }, text);
    told.textContent = tapped === null ? "" : GROUND.outlineCorner(tapped.length);
    if (tapped === null) fill(tools, button(GROUND.outlineDraw, begin));
    else fill(tools, button(GROUND.outlineFinish, finish, "main"), button(GROUND.outlineUndo, back));
  };
  const begin = (): void => {
    tapped = [];
    plan.pick((point) => {
      tapped = [...(tapped ?? []), point];
      show(tapped);
      draw();
    });
    draw();
  };
  const back = (): void => {
    tapped = (tapped ?? []).slice(0, -1);
    show(tapped);
    draw();
  };
  const finish = (): void => {
    const found = tapped ?? [];
    tapped = null;
    plan.stop();
    show(found);
    draw();
    changed();
  };
  field.input.addEventListener("input", () => {
    const { corners, wrongLine } = cornersOf(field.input.value);
    field.complain(wrongLine === null ? "" : GROUND.cornersWrong(wrongLine));
    if (wrongLine === null) plan.sketch(corners, true);
    changed();
  });
  draw();
  return {
    box: h("div", {}, field.box, told, tools),
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
