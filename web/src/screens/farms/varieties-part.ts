/** Varieties, each farm that grows one on a line of its own. */

import type { FarmWork, VarietyWork } from "../../core/farms-contracts";
import { varietiesCsv } from "../../core/farms-csv";
import { FARMS } from "../../core/farms-wording";
import { percent } from "../../core/numbers";
import { varietyLines, type VarietyLine } from "../../core/side-by-side";
import { h } from "../../ui/dom";
import { barred, farmsLine, farmsTable, fastestOf, faultyCell, paceCell, type Cell } from "./cells";
import { csvButton } from "./csv-button";

function linesOf({ name, of }: VarietyLine, farms: readonly FarmWork[]): HTMLTableRowElement[] {
  const grown = of.flatMap((work, at) => (work === null ? [] : [{ farm: farms[at]?.name ?? "", work }]));
  const fastest = fastestOf(grown.map(({ work }) => work));
  const cells = (farm: string, work: VarietyWork): Cell[] => [
    farm,
    barred(FARMS.pruned(work.trees, work.trees_in_all, percent(work.trees, work.trees_in_all)), work.trees / work.trees_in_all),
    paceCell(work, fastest),
    faultyCell(work),
  ];
  return grown.map(({ farm, work }, at) => farmsLine(at === 0 ? { head: name || FARMS.unnamed, lines: grown.length } : null, cells(farm, work)));
}

/** Return the part. */
export function varietiesPart(farms: readonly FarmWork[]): HTMLElement {
  const { columns } = FARMS;
  return h(
    "section",
    {},
    h("h2", {}, FARMS.varieties),
    farms.length > 1 ? h("p", {}, FARMS.varietiesLead) : null,
    farmsTable(
      FARMS.varieties,
      [columns.variety, columns.farm, columns.pruned, columns.pace, columns.faulty],
      varietyLines(farms).flatMap((line) => linesOf(line, farms)),
    ),
    csvButton("farms-by-variety", FARMS.varieties, () => varietiesCsv(farms)),
  );
}
