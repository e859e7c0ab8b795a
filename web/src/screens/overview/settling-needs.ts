/** What of overlaps and records set aside waits for a manager's word; of one crew only what is its own. */

import type { BlockSummary } from "../../core/contracts";
import { mattersOfCrew, type AsideRecord, type Overlap } from "../../core/matters";
import { OVERVIEW } from "../../core/overview-wording";
import type { Place } from "../../core/place";
import { settlingApi } from "../../data/settling-api";
import type { Context } from "../context";
import type { Looked, Way } from "./needs-you";
import type { Need } from "./quality-needs";

/** So many rows of a block get a button of their own. */
const ROWS_NAMED = 4;
interface RowsHeld {
  id: string;
  code: string;
  rows: readonly number[];
}

/** Return what waits, as the blocks that are looked at tell it. */
export function blockMatters({ figures, blocks }: Looked): Need[] {
  const held = blocks.filter(({ overlap }) => overlap > 0).map(({ id, code, overlap_rows: rows }) => ({ id, code, rows }));
  const aside = blocks.filter(({ set_aside }) => set_aside > 0).map(({ id, code, set_aside }) => asideWay(id, code, set_aside));
  return lines(figures.overlap_trees, held, figures.set_aside, aside);
}

/** Return what waits of the chosen crew: blocks tell nothing of whose it is. */
export async function crewMatters(overview: Looked, { request, farm }: Context): Promise<Need[]> {
  const matters = await settlingApi(request).matters(farm.id);
  return mattersOf(overview, mattersOfCrew(matters, { ...overview, blocks: new Set(overview.blocks.map(({ id }) => id)) }));
}

/** Return the same of matters that were picked out. */
export function mattersOf({ everyBlock }: Pick<Looked, "everyBlock">, { overlaps, aside }: { overlaps: readonly Overlap[]; aside: readonly AsideRecord[] }): Need[] {
  const of = ({ id, code }: BlockSummary): RowsHeld => ({ id, code, rows: [...new Set(overlaps.filter(({ block_id }) => block_id === id).map(({ row }) => row))] });
  const held = everyBlock.map(of).filter(({ rows }) => rows.length > 0);
  const waiting = everyBlock.map(({ id, code }) => ({ id, code, n: aside.filter(({ versions }) => versions.some(({ block_id }) => block_id === id)).length }));
  const ways = waiting.filter(({ n }) => n > 0).map(({ id, code, n }) => asideWay(id, code, n));
  return lines(overlaps.reduce((sum, { trees }) => sum + trees, 0), held, aside.length, ways);
}

function lines(overlapTrees: number, held: readonly RowsHeld[], aside: number, asideWays: readonly Way[]): Need[] {
  const settle: Way = { text: OVERVIEW.toSettle, to: { screen: "settling", block: null }, isMain: true };
  return [
    ...(overlapTrees > 0 ? [{ text: OVERVIEW.overlap(overlapTrees), to: [settle, ...held.flatMap(rowWays)] }] : []),
    ...(aside > 0 ? [{ text: OVERVIEW.setAside(aside), to: [settle, ...asideWays] }] : []),
  ];
}

/** Rows lead to where a manager settles them: on the row itself only a foreman can do something. */
function rowWays({ id, code, rows }: RowsHeld): Way[] {
  const to = (row?: number): Place => ({ screen: "settling", block: id, ...(row === undefined ? {} : { row }) });
  if (rows.length === 0 || rows.length > ROWS_NAMED) return [{ text: code, to: to(rows[0]) }];
  return rows.map((row) => ({ text: OVERVIEW.overlapRow(code, row), to: to(row) }));
}

function asideWay(id: string, code: string, n: number): Way {
  return { text: OVERVIEW.blockAside(code, n), to: { screen: "settling", block: id } };
}
