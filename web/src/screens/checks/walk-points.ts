/** The points of a brief that a tree is judged by: each with its drawing, and large answers. */

import type { BriefVersion, Point } from "../../core/brief-contracts";
import { languageOf } from "../../core/brief-reading";
import { isMet } from "../../core/check-scoring";
import { limitWords, WALK } from "../../core/check-walk-wording";
import { language } from "../../core/language";
import { answerOf, type TreeDraft } from "../../core/walk-draft";
import { weightSign } from "../../ui/brief-signs";
import { h } from "../../ui/dom";
import { CALM_MS } from "../../ui/settling";
import { numberAnswer } from "./number-answer";

export type Answer = number | boolean | "untold" | null;
export interface WalkPoints {
  box: HTMLElement;
  draw(tree: TreeDraft): void;
}
interface Row {
  box: HTMLElement;
  draw(answer: Answer): void;
}

/** Return the checked points of a brief; `answered` hears the key of one and what was found. */
export function walkPoints(
  brief: BriefVersion,
  drawings: ReadonlyMap<string, string>,
  answered: (key: string, answer: Answer) => void,
): WalkPoints {
  const spoken = languageOf(brief.texts, language()) ?? "";
  const text = brief.texts[spoken];
  const rows = brief.content.points.flatMap((point, at): [string, Row][] => {
    if (!point.is_checked) return [];
    const said = { sentence: text?.points[at] ?? "", svg: drawings.get(text?.pictures[at] ?? ""), language: spoken };
    return [[point.key, pointRow(point, said, (answer) => answered(point.key, answer))]];
  });
  return {
    box: h("ol", { class: "walk-points", "aria-label": WALK.points }, ...rows.map(([, { box }]) => box)),
    draw(tree) {
      for (const [key, row] of rows) row.draw(answerOf(tree, key));
    },
  };
}

interface Said {
  sentence: string;
  svg: string | undefined;
  language: string;
}

function pointRow(point: Point, said: Said, answered: (answer: Answer) => void): Row {
  const failed = h("strong", { class: "walk-failed" });
  const answers = point.kind === "yes_no" ? yesNo(said.sentence, answered) : measured(point, said.sentence, answered);
  const box = h(
    "li",
    {},
    // as an image nothing in it runs, whatever it holds
    said.svg === undefined ? null : h("img", { src: `data:image/svg+xml,${encodeURIComponent(said.svg)}`, alt: "" }),
    h(
      "div",
      { class: "walk-sentence" },
      h("p", { lang: said.language }, said.sentence),
      h("p", { class: "walk-limits" }, weightSign(point.point_class), ` ${[WALK.weighs[point.point_class], limitWords(point)].filter((part) => part !== "").join(" · ")} `, failed),
    ),
    answers.box,
  );
  return {
    box,
    draw(answer) {
      const isFailed = answer !== null && answer !== "untold" && !isMet(point, answer);
      box.dataset["failed"] = String(isFailed);
      failed.textContent = isFailed ? WALK.isFailed : "";
      answers.draw(answer);
    },
  };
}

function yesNo(sentence: string, answered: (answer: Answer) => void): Row {
  let now: Answer = null;
  let touchedAt = -CALM_MS;
  const touched = (means: boolean | "untold"): void => {
    const at = performance.now();
    const isTremble = now === means && at - touchedAt < CALM_MS;
    touchedAt = at;
    // a second touch of the same answer takes it back, if it was meant to be one
    if (!isTremble) answered(now === means ? null : means);
  };
  const button = (label: string, means: boolean | "untold"): HTMLButtonElement =>
    h(
      "button",
      { type: "button", "data-means": String(means), "aria-label": `${label}: ${sentence}`, on: { click: () => touched(means) } },
      label,
    );
  const buttons = [[true, button(WALK.yes, true)], [false, button(WALK.no, false)], ["untold", button(WALK.untold, "untold")]] as const;
  return {
    box: h("div", { class: "walk-answer walk-yes-no", role: "group", "aria-label": sentence }, ...buttons.map(([, one]) => one)),
    draw(answer) {
      now = answer;
      for (const [means, one] of buttons) one.setAttribute("aria-pressed", String(answer === means));
    },
  };
}

function measured(point: Point, sentence: string, answered: (answer: Answer) => void): Row {
  const number = numberAnswer(point, sentence, answered);
  return { box: number.box, draw: (answer) => number.set(typeof answer === "number" ? answer : null) };
}
