/** The blocks of the file: which are taken, how many rows and trees each has, what is wrong with which. */

import { holdsWords, ownWords, tellingColumns } from "../../core/block-words";
import { codeProblem, isComplete, needsLook, openText, uponOf, type Draft } from "../../core/drafts";
import { IMPORT } from "../../core/set-up-wording";
import { fill, h } from "../../ui/dom";
import { textField } from "../../ui/field";

export interface BlockList {
  box: HTMLElement;
  draw(chosen: Draft | null): void;
}

/** From here on a list is looked through by words. */
const LONG = 12;

function words(draft: Draft, drafts: readonly Draft[]): string {
  if (!draft.take) return IMPORT.leave;
  const code = codeProblem(draft, drafts);
  if (code !== "") return code;
  if (!isComplete(draft)) return openText(draft);
  if (draft.planned === null) return IMPORT.planning;
  return draft.planned.problem ?? IMPORT.result(draft.planned.rows, draft.planned.trees);
}

interface Line {
  draft: Draft;
  tick: HTMLInputElement;
  button: HTMLElement;
  box: HTMLElement;
  /** What the file says of it. */
  own: string[];
}

function lineOf(draft: Draft, shared: readonly string[], own: string[], choose: () => void, turned: () => void): Line {
  const problem = draft.feature?.problem ?? null;
  const tick = h("input", { type: "checkbox", disabled: problem !== null });
  tick.addEventListener("change", () => {
    draft.take = tick.checked;
    turned();
  });
  const button = h("button", { type: "button", class: "draft-choice", on: { click: choose } });
  const surveyed = draft.surveyed.length === 0 ? [] : [IMPORT.surveyedNote(draft.surveyed.length)];
  const upon = uponOf(draft) === "" ? [] : [IMPORT.upon(uponOf(draft))];
  const notes = [
    ...(problem === null ? [] : [problem]),
    ...upon,
    ...(draft.feature?.notes ?? []).filter((note) => !shared.includes(note)),
    ...surveyed,
  ];
  const box = h(
    "li",
    {},
    h("label", { class: "draft-take" }, tick, h("span", {}, IMPORT.take)),
    button,
    ...notes.map((note) => h("p", { class: "feature-note" }, note)),
  );
  return { draft, tick, button, box, own };
}

/** Return the list; `choose` hears the block that is to be worked on, `turned` those that are taken or left out. */
export function blockList(
  drafts: readonly Draft[],
  choose: (draft: Draft) => void,
  turned: (...which: Draft[]) => void,
): BlockList {
  // what holds for every block is said once
  const shared = drafts.length < 2 ? [] : (drafts[0]?.feature?.notes ?? []).filter((note) =>
    drafts.every((draft) => draft.feature?.notes.includes(note)),
  );
  const columns = tellingColumns(drafts.flatMap(({ feature }) => (feature === null ? [] : [feature])));
  const lines = drafts.map((draft) => {
    const own = draft.feature === null ? [] : ownWords(draft.feature, columns);
    return lineOf(draft, shared, own, () => choose(draft), () => turned(draft));
  });
  const find = drafts.length > LONG ? textField(IMPORT.find, "", { type: "search" }, IMPORT.findHint) : null;
  const shown = (): Line[] => {
    const typed = find?.input.value ?? "";
    return lines.filter(({ draft, own }) => holdsWords([draft.code, draft.name, ...own], typed));
  };
  const turnShown = (take: boolean): void => {
    const which = shown().map(({ draft }) => draft).filter(({ feature }) => (feature?.problem ?? null) === null);
    for (const draft of which) draft.take = take;
    turned(...which);
  };
  const all = h("button", { type: "button", on: { click: () => turnShown(true) } });
  const none = h("button", { type: "button", on: { click: () => turnShown(false) } });
  const empty = h("p", { role: "status" });
  const drawShown = (): void => {
    const now = new Set(shown());
    for (const line of lines) line.box.hidden = !now.has(line);
    const whole = now.size === lines.length;
    all.textContent = (whole ? IMPORT.takeAllOf : IMPORT.takeShown)(now.size);
    none.textContent = (whole ? IMPORT.leaveAllOf : IMPORT.leaveShown)(now.size);
    all.disabled = none.disabled = now.size === 0;
    empty.textContent = now.size === 0 ? IMPORT.noneFound : "";
  };
  find?.input.addEventListener("input", drawShown);
  drawShown();
  return {
    box: h(
      "section",
      { class: "block-list" },
      h("h3", {}, IMPORT.blocks(drafts.length)),
      ...shared.map((note) => h("p", { class: "feature-note" }, IMPORT.ofAll(note, drafts.length))),
      find?.box ?? null,
      drafts.length > 1 ? h("div", { class: "take-many" }, all, none) : null,
      empty,
      h("ul", { class: "plain-list" }, ...lines.map(({ box }) => box)),
    ),
    draw(chosen) {
      for (const { draft, button, tick, own } of lines) {
        tick.checked = draft.take;
        tick.setAttribute("aria-label", `${IMPORT.take} ${draft.code}`);
        button.setAttribute("aria-pressed", String(draft === chosen));
        const { code, name, feature } = draft;
        const about = [
          ...(name === "" || name === code ? [] : [name]),
          ...(feature?.area_ha ? [IMPORT.areaOf(feature.area_ha)] : []),
          ...own,
        ].join(" · ");
        fill(
          button,
          h("strong", {}, code),
          " ",
          `${about} `,
          needsLook(draft) ? h("span", { class: "look-at" }, IMPORT.look) : null,
          h("br"),
          words(draft, drafts),
        );
      }
    },
  };
}
