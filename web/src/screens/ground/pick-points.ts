/** Two points asked for on the plan, one after the other. */

import type { Lonlat } from "../../core/contracts";
import { GROUND } from "../../core/ground-wording";
import { fill, h } from "../../ui/dom";
import type { GroundPlan } from "./ground-plan";

export interface PickWords {
  button: string;
  first: string;
  second: string;
}

/** Return the button that begins, and while points are asked for what to tap and the button that stops. */
export function pickTwo(plan: GroundPlan, words: PickWords, done: (first: Lonlat, second: Lonlat) => void): HTMLElement {
  const box = h("div", { class: "ground-pick" });
  const told = h("p", { role: "status" });
  const stop = (): void => {
    plan.stop();
    told.textContent = "";
    fill(box, h("button", { type: "button", on: { click: begin } }, words.button));
  };
  const begin = (): void => {
    let first: Lonlat | null = null;
    told.textContent = words.first;
    fill(box, told, h("button", { type: "button", on: { click: stop } }, GROUND.stop));
    plan.pick((point) => {
      if (first === null) {
        first = point;
        told.textContent = words.second;
        plan.sketch([point]);
        return;
      }
      stop();
      done(first, point);
    });
  };
  stop();
  return box;
}
