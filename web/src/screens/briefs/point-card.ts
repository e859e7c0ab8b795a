/** One point of the list: its number, drawing, sentence and weight; opened, its fields. */

import type { Point } from "../../core/brief-contracts";
import { readingLanguage } from "../../core/brief-points";
import { plainSentence } from "../../core/brief-differences";
import { EDITOR, POINT_CLASS } from "../../core/briefs-wording";
import { fill, h } from "../../ui/dom";
import type { Desk } from "./desk";
import { pointForm, type PointForm } from "./point-form";
import { pointPicture } from "./point-picture";

export interface PointCard {
  box: HTMLElement;
  draw(point: Point, number: number, all: number): void;
  words(): string;
  open(part: string): void;
  focus(): void;
  /** Put the keyboard on the button that moves it on, or back at an end. */
  focusMove(by: -1 | 1): void;
}
export interface PointCardTools {
  desk: Desk;
  pictures: readonly string[];
  key: string;
  move(key: string, by: -1 | 1): void;
  remove(key: string): void;
}

/** Return the card. */
export function pointCard({ desk, pictures, key, move, remove }: PointCardTools): PointCard {
  const button = (words: string, click: () => void): HTMLButtonElement => h("button", { type: "button", on: { click } }, words);
  const up = button(EDITOR.up, () => move(key, -1));
  const down = button(EDITOR.down, () => move(key, 1));
  const change = button(EDITOR.change, () => (form === null ? open() : close()));
  const out = button(EDITOR.remove, () => remove(key));
  const picture = h("div", { class: "point-drawn" });
  const numbered = h("p", { class: "point-number" });
  const sentence = h("p", { class: "point-sentence" });
  const weight = h("p", { class: "point-weight" });
  const problems = h("ul", { class: "plain-list point-problems" });
  const place = h("div", { class: "point-form-place" });
  let form: PointForm | null = null;
  let drawn = "";
  let number = 0;

  const name = (): void => {
    up.setAttribute("aria-label", EDITOR.upFor(number));
    down.setAttribute("aria-label", EDITOR.downFor(number));
    out.setAttribute("aria-label", EDITOR.removeFor(number));
    change.setAttribute("aria-label", form === null ? EDITOR.changeFor(number) : EDITOR.closeFor(number));
    change.setAttribute("aria-expanded", String(form !== null));
    change.textContent = form === null ? EDITOR.change : EDITOR.close;
  };
  const close = (): void => {
    form = null;
    fill(place);
    name();
    drawProblems();
  };
  const open = (part = ""): void => {
    form ??= pointForm(desk, key, pictures);
    if (!place.contains(form.box)) fill(place, form.box);
    form.draw();
    name();
    drawProblems();
    form.focus(part);
  };
  const say = (box: HTMLElement, words: string): void => {
    if (box.textContent !== words) box.textContent = words;
  };
  const drawProblems = (): void => {
    // opened, each stands at its field
    const found = form === null ? desk.problems().filter((one) => one.key === key) : [];
    if (found.map(({ what }) => what).join("\n") !== [...problems.children].map((one) => one.textContent).join("\n")) {
      fill(problems, ...found.map(({ what }) => h("li", {}, what)));
    }
  };
  const draw = (point: Point, at: number, all: number): void => {
    number = at;
    say(numbered, String(number));
    const language = readingLanguage(desk.content());
    // as the crew reads it once the service has seen it; until then as it is typed
    say(sentence, desk.said(key, language) || point.sentences[language] || plainSentence(point) || EDITOR.unwritten);
    say(weight, `${POINT_CLASS[point.point_class]}, ${point.is_checked ? EDITOR.checked : EDITOR.taught}`);
    const now = JSON.stringify([point.picture, point.low, point.high]);
    if (now !== drawn) fill(picture, pointPicture(point));
    drawn = now;
    drawProblems();
    up.disabled = number === 1;
    down.disabled = number === all;
    name();
    form?.draw();
  };
  return {
    box: h(
      "li",
      { class: "point-card" },
      h("div", { class: "point-line" }, numbered, picture, h("div", { class: "point-words" }, sentence, weight, problems)),
      h("div", { class: "line-buttons point-buttons" }, up, down, change, out),
      place,
    ),
    draw,
    words: () => sentence.textContent ?? "",
    open,
    focus: () => change.focus(),
    focusMove(by) {
      const [wanted, other] = by < 0 ? [up, down] : [down, up];
      (wanted.disabled ? other : wanted).focus();
    },
  };
}
