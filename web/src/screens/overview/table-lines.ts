/** The lines of the table of blocks: what is looked at, with what is known of each block by now. */

import { partOf, type Chosen, type Glance } from "../../core/glance";
import { TABLE } from "../../core/glance-wording";
import { blockPaces, type SeasonDays } from "../../core/season-days";
import type { Line } from "./blocks-table";
import { NOTHING_TOLD, type Told } from "./readings";

/** Return a line for each block; while days pass by nothing is told of them. */
export function tableLines(glance: Glance, chosen: Chosen, season: SeasonDays | null, told: Told, passes: boolean): Line[] {
  const { finishes, costs } = passes ? NOTHING_TOLD : told;
  const paces = season === null ? new Map<string, number>() : blockPaces(season, glance.day, partOf(glance.blocks, chosen));
  const of = new Map(finishes.map((one) => [one.block_id, one]));
  return glance.blocks.map((block) => ({
    block,
    own: glance.own === null ? null : (glance.own.get(block.id) ?? 0),
    pace: paces.get(block.id) ?? null,
    finish: of.get(block.id) ?? null,
    // a block's cost is that of all crews there: beside one crew's trees it would be another thing
    cost: glance.own === null ? (costs.get(block.id) ?? null) : null,
    passes,
  }));
}

/** Say why no cost is told; empty where it is. */
export function noCostWords(isPast: boolean, isOfCrew: boolean): string {
  if (isPast) return isOfCrew ? TABLE.costOfTodayAndAll : TABLE.costOfToday;
  return isOfCrew ? TABLE.costOfAll : "";
}
