/** The tools at the foot of a block's rows: rows by number, how one walks, the brief, the crew's day, counting trees, how the tablet is held. */

import type { BlockShape, BlockSummary } from "../../core/contracts";
import { COUNT_TOOL } from "../../core/count-tool-wording";
import { blockOfCode } from "../../core/row-code";
import { TOOLS } from "../../core/rows-wording";
import type { Walk } from "../../core/walking";
import type { Context } from "../context";
import type { Tool } from "./action-bar";
import type { BlockBook } from "./block-book";
import type { ByNumberGiven, ByNumberHears } from "./by-number";
import type { Work } from "./block-rows";
import { countTool } from "../counting/count-tool";
import { laterPanel } from "./later-panel";
import type { Part } from "./marking";
import type { RowList } from "./row-list";
import type { WhereGiven } from "./where-suggestion";

export interface ToolsGiven {
  block: BlockSummary;
  shape: BlockShape;
  work: Work;
  book: BlockBook;
  list: RowList;
  walk: Walk;
}

/** Return the tools; without a crew nothing is marked and no day is entered. */
export function rowsTools(
  context: Context,
  { block, shape, work, book, list, walk }: ToolsGiven,
  hears: { mark(parts: readonly Part[]): void; brief: Tool["open"] },
): Tool[] {
  const { tablet, speak, go } = context;
  const { crew } = work;
  let walked = walk;
  const given: Omit<ByNumberGiven, keyof WhereGiven> = { rows: shape.rows, book, crewIndex: book.crewIndex(crew?.id ?? null) };
  const hearing: ByNumberHears = {
    see: (row) => list.see(row),
    mark: hears.mark,
    blockOf(name) {
      const found = blockOfCode(name, work.blocks);
      return found === null ? null : { id: found.id, code: found.code, here: found.id === block.id };
    },
    openOther: (id, row) => go({ screen: "rows", block: id, row }),
  };
  // fetched before it is asked for: the pad stands still under the finger as soon as it is opened, with a connection or without
  let pad: ((close: () => void) => ReturnType<typeof import("./by-number").byNumber>) | null = null;
  const fetchPad = async () => {
    const { byNumber, whereGiven } = await import("./by-number");
    return (pad = (close) => byNumber({ ...given, ...whereGiven(shape, list) }, hearing, close));
  };
  void fetchPad().catch(() => undefined);
  const numbers: Tool = {
    words: TOOLS.byNumber,
    open: (close) => pad?.(close) ?? laterPanel(async () => (await fetchPad())(close)),
  };
  const walking: Tool = {
    words: TOOLS.walk,
    open: (close) =>
      laterPanel(async () => {
        const { walkPanel } = await import("./walk-panel");
        return walkPanel(shape, walked, (now) => {
          walked = now;
          tablet.memory.setWalk(block.id, JSON.stringify(now));
          list.setWalk(now);
          close();
          list.toNext();
        });
      }),
  };
  const held: Tool = { words: TOOLS.tablet, open: () => laterPanel(async () => (await import("./tablet-panel")).tabletPanel(tablet.memory, tablet.theme, speak)) };
  const brief: Tool = { words: TOOLS.brief, open: hears.brief };
  if (shape.rows.length === 0) return [brief, held];
  const counting: Tool = {
    words: COUNT_TOOL,
    open: (close) => countTool(context, { block, shape, walk: walked, seasonId: work.seasonId }, close),
  };
  if (crew === null) return [numbers, walking, brief, counting, held];
  const day: Tool = { words: TOOLS.knockOff, open: (close) => laterPanel(async () => (await import("./knock-off")).knockOff(context, { ...work, crew }, close)) };
  return [numbers, walking, brief, day, counting, held];
}
