/** Crews side by side without ranking: the funnel, and tables in the order of their names. */

import { count, inHundred } from "../../core/numbers";
import { fairShare, scaleEnd } from "../../core/quality-charts";
import type { CrewPart, CrewQuality, FarmCrewQuality } from "../../core/crew-contracts";
import { CREWS, STANDING } from "../../core/quality-areas-wording";
import { h } from "../../ui/dom";
import { readingPart, type Part } from "./desk";
import { funnelPicture } from "./funnel-chart";
import { framedTable, intervalBar, line, paragraphs } from "./signs";

function byName(a: CrewQuality, b: CrewQuality): number {
  return a.crew.localeCompare(b.crew, "en", { numeric: true });
}

function crewTable(crews: readonly CrewQuality[], farmShare: number): HTMLElement {
  const { columns } = CREWS;
  const top = scaleEnd(...crews.map(({ wilson }) => wilson[1]));
  const lines = crews.flatMap((one) => {
    const { crew, checked, left_out: alone = 0, faulty, expected, wilson, standing, words } = one;
    const value = checked === 0 ? null : faulty / checked;
    const span = value === null ? "" : CREWS.shareSpan(value, CREWS.span(...wilson));
    const bar = value === null ? "" : h("div", { class: "crew-span" }, intervalBar({ words: span, interval: wilson, value, scale: [0, top] }), span);
    const fair = value === null ? "" : inHundred(fairShare(one, farmShare));
    const trees = alone === 0 ? count(checked) : h("span", {}, count(checked), h("br", {}), CREWS.leftOut(alone));
    const told = line(crew, trees, count(faulty), CREWS.expected(expected), bar, fair, STANDING[standing]);
    return words === "" ? [told] : [told, h("tr", { class: "crew-words" }, h("td", { colspan: told.cells.length }, words))];
  });
  return framedTable(CREWS.table, [columns.crew, columns.checked, columns.faulty, columns.expected, columns.share, columns.fair, columns.standing], lines);
}

function partTable(title: string, head: string, crews: readonly CrewQuality[], parts: readonly (readonly [words: string, of: readonly CrewPart[]])[]): HTMLElement | null {
  if (parts.length === 0) return null;
  const lines = parts.map(([words, of]) =>
    line(
      words,
      ...crews.map(({ crew_id }) => {
        const part = of.find((one) => one.crew_id === crew_id);
        if (part === undefined || part.checked === 0) return CREWS.notChecked;
        return h("span", {}, CREWS.partOf(part.failed, part.checked), h("br", {}), h("span", { class: "quality-hint" }, CREWS.span(...part.wilson)));
      }),
    ),
  );
  return h("section", { class: "quality-parts-table" }, h("h2", {}, title), framedTable(title, [head, ...crews.map(({ crew }) => crew)], lines));
}

function told(quality: FarmCrewQuality): (HTMLElement | null)[] {
  const crews = [...quality.crews].sort(byName);
  if (crews.length === 0) return [h("p", {}, CREWS.none)];
  const answer = CREWS.answer(crews);
  return [
    answer === "" ? null : h("p", { class: "quality-lead" }, h("strong", {}, answer)),
    ...paragraphs([CREWS.lead, CREWS.fair], "quality-lead"),
    funnelPicture(quality) ?? h("p", {}, CREWS.alone),
    h("section", {}, h("h2", {}, CREWS.table), crewTable(crews, quality.faulty_share ?? 0)),
    partTable(CREWS.byPoint, CREWS.partColumns.part, crews, quality.points.map(({ sentence, crews: of }) => [sentence, of] as const)),
    partTable(CREWS.byHabit, CREWS.partColumns.habit, crews, quality.habits.map(({ habit, crews: of }) => [CREWS.habit(habit), of] as const)),
  ];
}

/** Show the part. */
export const showCrews: Part = (root, { api, context }) =>
  readingPart(
    root,
    () => api.crewQuality(context.farm.id),
    told,
  );
