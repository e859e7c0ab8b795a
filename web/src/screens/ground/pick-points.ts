/** Two points asked for on the plan, one after the other. */

import type { Lonlat } from "../../core/contracts";
import { h } from "../../ui/dom";
import type { GroundPlan } from "./ground-plan";

export interface PickWords {
  button: string;
  first: string;
  second: string;
}

/** Return the button that asks for them; the plan says what to tap. */
export function pickTwo(plan: GroundPlan, words: PickWords, done: (first: Lonlat, second: Lonlat) => void): HTMLElement {
  const begin = (): void => {
    let first: Lonlat | null = null;
    plan.pick({
      words: words.first,
      from: button,
      heard(point) {
        if (first === null) {
          first = point;
          plan.ask(words.second);
          plan.sketch([point]);
          return;
        }
        plan.stop();
        done(first, point);
      },
    });
  };
  const button = h("button", { type: "button", on: { click: begin } }, words.button);
  return button;
}
