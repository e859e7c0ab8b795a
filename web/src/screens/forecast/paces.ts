/** Paces by crew, variety and how it is done: by name, never ranked. */

import type { Pace } from "../../core/forecast-contracts";
import { PACES } from "../../core/forecast-wording";
import { count } from "../../core/numbers";
import { METHOD } from "../../core/wording";
import { h } from "../../ui/dom";
import { crewName, plainTable, type Desk } from "./desk";

/** Return the part. */
export function pacesPart(paces: readonly Pace[], { context }: Desk): HTMLElement {
  const variety = (id: string | null): string => context.farm.varieties.find((one) => one.id === id)?.name ?? PACES.noVariety;
  const how = ({ method, system }: Pace): string => [METHOD[method], system].filter((one) => one !== "").join(", ");
  const lines = paces
    .map((one) => ({ crew: crewName(context, one.crew_id), what: variety(one.variety_id), one }))
    .sort((a, b) => a.crew.localeCompare(b.crew) || a.what.localeCompare(b.what))
    .map(({ crew, what, one }) => [crew, what, how(one), PACES.pace(one.trees_per_h, one.low, one.high), count(one.days)]);
  const { columns } = PACES;
  return h(
    "section",
    { class: "forecast-paces" },
    h("h2", {}, PACES.title),
    h("p", {}, lines.length === 0 ? PACES.none : PACES.lead),
    lines.length === 0 ? null : plainTable(PACES.title, [columns.crew, columns.trees, columns.how, columns.pace, columns.days], lines),
  );
}
