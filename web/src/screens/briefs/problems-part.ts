/** Everything that is to be mended before the brief can be published, each with a button that leads to its place. */

import { EDITOR, PROBLEM_PART } from "../../core/briefs-wording";
import { fill, h } from "../../ui/dom";
import type { Desk } from "./desk";

/** Return the list; `open` leads to the field that is to be mended, of a point or (with no key) of the whole brief. */
export function problemsPart(desk: Desk, open: (key: string | null, part: string) => void): HTMLElement {
  const box = h("section", { class: "brief-problems" });
  let told = "";
  const draw = (): void => {
    const problems = desk.problems();
    const numbers = new Map(desk.content().points.map(({ key }, at) => [key, at + 1]));
    const now = JSON.stringify([problems, [...numbers]]);
    if (now === told) return;
    told = now;
    box.hidden = problems.length === 0;
    const lines = problems.map(({ key, part, what }) => {
      const number = key === null ? undefined : numbers.get(key);
      const place = number === undefined ? PROBLEM_PART[part] : EDITOR.point(number);
      if (place === undefined) return h("li", {}, what);
      const click = (): void => open(key, part);
      return h("li", {}, h("button", { type: "button", class: "quiet problem-link", on: { click } }, EDITOR.at(place, what)));
    });
    fill(box, h("h2", {}, EDITOR.problems(problems.length)), h("ul", { class: "plain-list" }, ...lines));
  };
  desk.listen(draw);
  draw();
  return box;
}
