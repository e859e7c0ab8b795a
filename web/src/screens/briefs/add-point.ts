/** One point more: from those that other briefs have, or one of the adviser's own. */

import type { Point, ReadyMadeBriefs } from "../../core/brief-contracts";
import { plainSentence } from "../../core/brief-differences";
import { languagesOf, ownPoint, readingLanguage, withPoint } from "../../core/brief-points";
import { languageWord, POINT } from "../../core/briefs-wording";
import { language } from "../../core/language";
import { fill, h } from "../../ui/dom";
import { areaField } from "../../ui/field";
import { notice } from "../../ui/notice";
import type { Desk } from "./desk";
import { pointPicture } from "./point-picture";

interface Extra {
  point: Point;
  /** As a crew reads it where the service filled the limits in. */
  words: string;
}

/** Return every point there is to add, each once: the extra ones, then those of the ready-made briefs. */
function extrasOf({ points, point_texts, briefs }: ReadyMadeBriefs): Extra[] {
  const found = new Map<string, Extra>();
  const add = (point: Point, words: string | undefined): void => {
    if (!found.has(point.key)) found.set(point.key, { point, words: words ?? plainSentence(point) });
  };
  points.forEach((point, at) => add(point, point_texts[at]?.[language()]));
  for (const { content, texts } of briefs) content.points.forEach((point, at) => add(point, texts[readingLanguage(content)]?.points[at]));
  return [...found.values()];
}

/** Return the part; `open` opens the new point. */
export function addPoint(desk: Desk, ready: ReadyMadeBriefs, open: (key: string, part: string) => void): HTMLElement {
  const said = notice();
  const list = h("ul", { class: "plain-list extra-points" });
  const extras = extrasOf(ready);
  const written = readingLanguage(desk.content());
  const own = areaField(POINT.sentence(languageWord(written)), "", { lang: written });
  const keys = (): string[] => desk.content().points.map(({ key }) => key);
  const add = (point: Point): void => {
    const { points } = desk.content();
    desk.change({ points: withPoint(points, point, points.length) });
    said.say(POINT.added(points.length + 1), "good");
    open(point.key, "sentences");
  };
  const submit = (event: Event): void => {
    event.preventDefault();
    const sentence = own.input.value.trim();
    own.complain(sentence === "" ? POINT.needsSentence : "");
    if (sentence === "") return own.input.focus();
    own.input.value = "";
    const languages = [...new Set([written, ...languagesOf(desk.content())])];
    add(ownPoint(sentence, languages, ready.pictures[0] ?? "", keys()));
  };
  const extraLine = ({ point, words }: Extra): HTMLElement =>
    h(
      "li",
      { class: "extra-point" },
      pointPicture(point),
      h("p", {}, words),
      h("button", { type: "button", "aria-label": POINT.addFor(words), on: { click: () => add(point) } }, POINT.addThis),
    );
  let there = "";
  const draw = (): void => {
    const taken = keys();
    if (taken.join() === there && list.childElementCount > 0) return;
    there = taken.join();
    fill(list, ...extras.filter(({ point }) => !taken.includes(point.key)).map(extraLine));
  };
  const folded = h(
    "details",
    { on: { toggle: draw } },
    h("summary", {}, POINT.add),
    h("h3", {}, POINT.own),
    h("form", { class: "own-point", novalidate: true, on: { submit } }, own.box, h("button", { type: "submit" }, POINT.addOwn)),
    h("h3", {}, POINT.addExtra),
    list,
  );
  desk.listen(() => {
    if (folded.open) draw();
  });
  return h("section", {}, folded, said.box);
}
