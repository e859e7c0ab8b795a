/** The blocks of the file: which are taken, how many rows and trees each has, what is wrong with which. */

import { codeProblem, isComplete, openText, type Draft } from "../../core/drafts";
import { IMPORT } from "../../core/set-up-wording";
import { fill, h } from "../../ui/dom";

export interface BlockList {
  box: HTMLElement;
  draw(chosen: Draft | null): void;
}

function words(draft: Draft, drafts: readonly Draft[]): string {
  if (!draft.take) return IMPORT.leave;
  const code = codeProblem(draft, drafts);
  if (code !== "") return code;
  if (!isComplete(draft)) return openText(draft);
  if (draft.planned === null) return IMPORT.planning;
  return draft.planned.problem ?? IMPORT.result(draft.planned.rows, draft.planned.trees);
}

/** Return the list; `choose` hears the block that is to be worked on, `turned` that one is taken or left out. */
export function blockList(
  drafts: readonly Draft[],
  choose: (draft: Draft) => void,
  turned: () => void,
): BlockList {
  // what holds for every block is said once
  const shared = drafts.length < 2 ? [] : (drafts[0]?.feature?.notes ?? []).filter((note) =>
    drafts.every((draft) => draft.feature?.notes.includes(note)),
  );
  const lines = drafts.map((draft) => {
    const problem = draft.feature?.problem ?? null;
    const tick = h("input", { type: "checkbox", disabled: problem !== null });
    tick.checked = draft.take;
    tick.addEventListener("change", () => {
      draft.take = tick.checked;
      turned();
    });
    const button = h("button", { type: "button", class: "draft-choice", on: { click: () => choose(draft) } });
    const surveyed = draft.surveyed.length === 0 ? [] : [IMPORT.surveyedNote(draft.surveyed.length)];
    const notes = [...(problem === null ? [] : [problem]), ...(draft.feature?.notes ?? []).filter((note) => !shared.includes(note)), ...surveyed];
    const box = h(
      "li",
      {},
      h("label", { class: "draft-take" }, tick, h("span", {}, IMPORT.take)),
      button,
      ...notes.map((note) => h("p", { class: "feature-note" }, note)),
    );
    return { draft, tick, button, box };
  });
  return {
    box: h(
      "section",
      { class: "block-list" },
      h("h3", {}, IMPORT.blocks(drafts.length)),
      ...shared.map((note) => h("p", { class: "feature-note" }, IMPORT.ofAll(note, drafts.length))),
      h("ul", { class: "plain-list" }, ...lines.map(({ box }) => box)),
    ),
    draw(chosen) {
      for (const { draft, button, tick } of lines) {
        tick.setAttribute("aria-label", `${IMPORT.take} ${draft.code}`);
        button.setAttribute("aria-pressed", String(draft === chosen));
        const name = draft.name === draft.code ? "" : ` ${draft.name}`;
        fill(button, h("strong", {}, draft.code), name, h("br"), words(draft, drafts));
      }
    },
  };
}
