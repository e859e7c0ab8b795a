/** A point's picture, chosen by looking at the drawings. */

import { pictureWord, POINT } from "../../core/briefs-wording";
import { h } from "../../ui/dom";
import { pointPicture } from "./point-picture";

/** Return the choice, folded; `picked` is told each new one. */
export function pictureChoice(now: string, pictures: readonly string[], picked: (name: string) => void): HTMLElement {
  const grid = h("div", { class: "picture-choices" });
  const pick = (name: string): void => {
    for (const button of grid.children) button.setAttribute("aria-pressed", String(button.getAttribute("data-name") === name));
    picked(name);
  };
  const draw = (): void => {
    if (grid.childElementCount > 0) return; // drawn when it is first opened: there are some thirty
    grid.append(
      ...pictures.map((name) =>
        h(
          "button",
          { type: "button", class: "picture-choice", "data-name": name, "aria-pressed": String(name === now), on: { click: () => pick(name) } },
          pointPicture({ picture: name, low: null, high: null }),
          h("span", {}, pictureWord(name)),
        ),
      ),
    );
  };
  return h("details", { class: "picture-part", on: { toggle: draw } }, h("summary", {}, POINT.pickPicture), grid);
}
