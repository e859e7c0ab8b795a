/** Weeks, each farm that worked in one on a line of its own; of all varieties, or of one. */

import type { FarmWork, WeekWork } from "../../core/farms-contracts";
import { weeksCsv } from "../../core/farms-csv";
import { FARMS } from "../../core/farms-wording";
import { count, dayText } from "../../core/numbers";
import { varietyLines, weekLines, type WeekLine } from "../../core/side-by-side";
import { fill, h } from "../../ui/dom";
import { barred, farmsLine, farmsTable, fastestOf, faultyCell, paceCell, type Cell } from "./cells";
import { csvButton } from "./csv-button";

const ALL = " all";

function table(farms: readonly FarmWork[], key: string | null): HTMLElement {
  const { columns } = FARMS;
  const weeks = weekLines(farms, key);
  const works = weeks.flatMap(({ of }) => of);
  const fastest = fastestOf(works);
  const most = Math.max(1, ...works.map((one) => one?.trees ?? 0));
  const cells = (farm: string, work: WeekWork | null): Cell[] =>
    work === null ? [farm, count(0), "", ""] : [farm, barred(count(work.trees), work.trees / most), paceCell(work, fastest), faultyCell(work)];
  const lines = ({ monday, of }: WeekLine): HTMLTableRowElement[] =>
    of.map((work, at) => farmsLine(at === 0 ? { head: dayText(monday), lines: of.length } : null, cells(farms[at]?.name ?? "", work)));
  return farmsTable(FARMS.weeks, [columns.week, columns.farm, columns.trees, columns.pace, columns.faulty], weeks.flatMap(lines));
}

/** Return the part. */
export function weeksPart(farms: readonly FarmWork[]): HTMLElement {
  const shown = h("div", {}, table(farms, null));
  const chosen = (): string | null => (choice.value === ALL ? null : choice.value);
  const choice = h(
    "select",
    { id: "farms-variety", on: { change: () => fill(shown, table(farms, chosen())) } },
    h("option", { value: ALL }, FARMS.all),
    ...varietyLines(farms).map(({ key, name }) => h("option", { value: key }, name || FARMS.unnamed)),
  );
  return h(
    "section",
    {},
    h("h2", {}, FARMS.weeks),
    h("p", {}, FARMS.weeksLead),
    h("div", { class: "field farms-choice" }, h("label", { for: "farms-variety" }, FARMS.which), choice),
    shown,
    csvButton("farms-by-week", FARMS.weeks, () => weeksCsv(farms, chosen())),
  );
}
