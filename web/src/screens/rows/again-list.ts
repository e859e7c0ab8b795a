/** What of a block is to be gone over again: by whom, by which day, which rows, and the points that failed with their drawings. */

import { treesAgain, type WaitingReturn } from "../../core/again";
import { languageOf } from "../../core/brief-reading";
import { AGAIN_LIST } from "../../core/returns-list-wording";
import { numbersText } from "../../core/several-rows";
import type { ShapeRow } from "../../core/contracts";
import { fill, h } from "../../ui/dom";
import { briefParts, type BriefParts } from "../brief/block-brief";
import type { Context } from "../context";
import "./again-list.css";

export interface AgainList {
  draw(waiting: readonly WaitingReturn[]): void;
}

/** Fill `box` with the list and keep it so; `crewId` is whose returns come unfolded. */
export async function againList(
  box: HTMLElement,
  context: Context,
  { block, rows, crewId }: { block: string; rows: readonly ShapeRow[]; crewId: string | null },
): Promise<AgainList> {
  const { farm, tablet } = context;
  const names = new Map(farm.crews.map(({ id, name }) => [id, name]));
  const title = h("summary", {});
  const list = h("div", {});
  const fold = h("details", { class: "again-list" }, title, list);
  let parts: BriefParts | null = null;

  const point = ({ key, sentences }: WaitingReturn["said"]["points"][number]): HTMLElement => {
    const lang = languageOf(sentences, tablet.memory.briefLanguage()) ?? "en";
    const at = parts?.brief?.content.points.findIndex((one) => one.key === key) ?? -1;
    const svg = parts?.drawings.get(parts.brief?.texts[lang]?.pictures[at] ?? "");
    const sentence = sentences[lang] ?? key;
    return h(
      "li",
      {},
      // as an image nothing in it runs, whatever it holds
      svg === undefined ? null : h("img", { src: `data:image/svg+xml,${encodeURIComponent(svg)}`, alt: "" }),
      h("span", { lang }, sentence),
    );
  };
  const one = (waits: WaitingReturn): HTMLElement => {
    const { number, crew_id, due_on, note, points } = waits.said;
    return h(
      "section",
      {},
      h("h3", {}, AGAIN_LIST.of(number, names.get(crew_id) ?? "", treesAgain([waits], rows), due_on)),
      due_on < farm.today ? h("p", { class: "again-late" }, AGAIN_LIST.late) : null,
      h("p", {}, AGAIN_LIST.rows(numbersText(waits.open.map(([row]) => row)))),
      note === "" ? null : h("p", { class: "again-note" }, note),
      ...(points.length === 0 ? [] : [h("h4", {}, AGAIN_LIST.better), h("ul", { class: "again-points plain-list" }, ...points.map(point))]),
    );
  };
  let shown = "";
  const draw = (waiting: readonly WaitingReturn[]): void => {
    // only what changed is drawn: it may be read just now
    const now = JSON.stringify(waiting);
    if (now === shown) return;
    shown = now;
    const [due] = waiting.map(({ said }) => said.due_on).sort();
    if (due === undefined) return fill(box);
    title.textContent = AGAIN_LIST.title(treesAgain(waiting, rows), due, farm.today);
    fill(list, ...waiting.map(one));
    if (!box.contains(fold)) {
      fold.open = crewId === null || waiting.some(({ said }) => said.crew_id === crewId);
      fill(box, fold);
    }
  };
  parts = await briefParts(context, block).catch(() => null);
  return { draw };
}
