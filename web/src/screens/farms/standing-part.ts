/** How far each farm is: pruned, when it is likely finished, pace, faults, blocks accepted. */

import type { FarmWork } from "../../core/farms-contracts";
import { standingCsv } from "../../core/farms-csv";
import { FARMS } from "../../core/farms-wording";
import { percent, weekdayText } from "../../core/numbers";
import { h } from "../../ui/dom";
import { barred, farmsTable, fastestOf, faultyCell, paceCell, type Cell } from "./cells";
import { csvButton } from "./csv-button";

function finishCell({ finish, season }: FarmWork): string {
  if (season === null) return FARMS.noSeason;
  if (finish === null) return FARMS.none;
  return finish.p50 === null ? FARMS.noDay : FARMS.finish(finish.p50, finish.p90);
}

function lotsCell({ figures: { lots } }: FarmWork): string {
  const { accepted, accepted_in_part, send_back, too_few } = lots;
  const all = accepted + accepted_in_part + send_back + too_few;
  return all === 0 ? FARMS.none : FARMS.lots(accepted, accepted_in_part, all);
}

/** Return the part; `open` opens a farm's own overview. */
export function standingPart(farms: readonly FarmWork[], open: (id: string) => void): HTMLElement {
  const { columns } = FARMS;
  const fastest = fastestOf(farms.map(({ work }) => work));
  const line = (farm: FarmWork): HTMLTableRowElement => {
    const { pruned, trees, must_finish_on } = farm.figures;
    const cells: Cell[] = [
      barred(FARMS.pruned(pruned, trees, percent(pruned, trees)), trees === 0 ? 0 : pruned / trees),
      finishCell(farm),
      must_finish_on === null ? FARMS.noSeason : weekdayText(must_finish_on),
      paceCell(farm.work, fastest),
      faultyCell(farm.work),
      lotsCell(farm),
    ];
    const name = h("button", { type: "button", class: "farms-open", on: { click: () => open(farm.id) } }, farm.name);
    return h("tr", {}, h("th", { scope: "row" }, name), ...cells.map((cell) => h("td", {}, cell)));
  };
  const heads = [columns.farm, columns.pruned, columns.finish, columns.must, columns.pace, columns.faulty, columns.lots];
  return h("section", {}, h("h2", {}, FARMS.standing), farmsTable(FARMS.standing, heads, farms.map(line)), csvButton("farms", FARMS.standing, () => standingCsv(farms)));
}
