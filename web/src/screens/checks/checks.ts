/** The auditor's screen: who checks, then block, then tree by tree. */

import { inOrderOfChecks, lotsWaiting } from "../../core/check-order";
import type { BlockSummary, Overview } from "../../core/contracts";
import { CHECKS } from "../../core/checks-wording";
import { ROWS } from "../../core/rows-wording";
import { lotWords, SCREEN_WORD, SHELL } from "../../core/wording";
import { sentence } from "../../data/request";
import { fill, h } from "../../ui/dom";
import { emptyState } from "../../ui/notice";
import { blockPicker, blocksWithOwn, closedNote } from "../block-picker";
import { readBlock } from "../block-reading";
import { STILL, type Screen, type Shown } from "../context";
import { auditorChoice } from "./auditor";
import { tellGoneWalks } from "./gone-walks";
import { blockLots, firstToWalk, showLots } from "./lots";
import { rowsWatch } from "./rows-watch";
import { showTreeChecks } from "./tree-checks";

/** Show the checks screen. */
export const showChecks: Screen = (root, context) => {
  let inner: Shown = STILL;
  let left = false;
  let failed = false;
  let lookAtRows = async (): Promise<void> => undefined;
  const news = h("div", {});
  const gone = h("div", {});
  const body = h("div", {}, h("p", {}, SHELL.loading));
  fill(root, news, gone, body);
  const say = (text: string): void =>
    fill(
      body,
      h("h1", {}, CHECKS.title),
      emptyState(text, { label: SCREEN_WORD["set-up"], run: () => context.go({ screen: "set-up", block: null }) }),
    );
  const pick = async (overview: Overview, wanted?: BlockSummary): Promise<void> => {
    const blocks = await blocksWithOwn(context, overview);
    if (left) return;
    fill(
      body,
      h("h1", {}, CHECKS.title),
      wanted === undefined ? null : closedNote(wanted, context.farm.time_zone),
      auditorChoice(context),
      blockPicker(
        context,
        overview,
        [{ title: CHECKS.pickBlock, blocks: inOrderOfChecks(blocks) }],
        { line: lotWords, waits: lotsWaiting },
        (block) => context.go({ screen: "checks", block: block.id }),
      ),
    );
  };
  const start = async (): Promise<void> => {
    failed = false;
    try {
      const { farm, place } = context;
      if (farm.season === null) return say(CHECKS.noSeason);
      const overview = await context.api.overview(farm.id, farm.today);
      if (left) return;
      if (overview.blocks.length === 0) return say(ROWS.noBlocks);
      const block = overview.blocks.find((one) => one.id === place.block);
      if (block === undefined || block.closed !== null) return await pick(overview, block);
      const [reading, told] = await Promise.all([readBlock(context, block, farm.today), blockLots(context, block.id)]);
      if (left) return;
      if (told !== null) void tellGoneWalks(gone, context, block.id, told);
      const anew = (): void => {
        inner.leave();
        inner = STILL;
        fill(news);
        fill(body, h("p", {}, SHELL.loading)); // no more is given on the old rows
        void start();
      };
      lookAtRows = rowsWatch(news, context, reading.shape, anew);
      const lots = told?.lots ?? [];
      // a row that was asked for is looked at as such
      const isFree = lots.length === 0 || reading.shape.rows.length === 0 || place.row !== undefined;
      if (isFree) inner = showTreeChecks(body, context, reading, farm.season.id);
      else inner = showLots(body, context, { reading, seasonId: farm.season.id, lots, first: firstToWalk(lots, reading, farm.today, place) });
    } catch (error) {
      failed = true;
      const action = { label: SHELL.tryAgain, run: () => void start() };
      fill(body, emptyState(sentence(error, SHELL.noAnswer), action));
    }
  };
  void start();
  return {
    cursor: () => inner.cursor(),
    newer: (records) => {
      if (failed) return void start();
      inner.newer(records);
      void lookAtRows();
    },
    leave() {
      left = true;
      inner.leave();
    },
  };
};
