/** The foreman's screen: crew, then block, then the rows of the block. */

import { inOrderOfWork, ownAndOthers } from "../../core/block-order";
import type { BlockSummary, Crew, Overview } from "../../core/contracts";
import { blockOfCode } from "../../core/row-code";
import { ROWS, TOOLS } from "../../core/rows-wording";
import { SCREEN_WORD, SHELL } from "../../core/wording";
import { NoAnswer, sentence } from "../../data/request";
import { fill, h } from "../../ui/dom";
import { emptyState } from "../../ui/notice";
import { settle } from "../../ui/settling";
import { blockPicker, blocksWithOwn, closedNote } from "../block-picker";
import { pickedCrew, STILL, type Context, type Screen, type Shown } from "../context";
import { showBlockRows } from "./block-rows";
import { laterPanel } from "./later-panel";
import { ownBlocks } from "./own-blocks";

function crewChoice(context: Context, picked: () => void): HTMLElement {
  const choose = (crew: Crew): void => {
    context.device.set("crew", crew.id);
    picked();
  };
  return h(
    "section",
    {},
    h("h2", {}, ROWS.whichCrew),
    h("p", {}, ROWS.whichCrewNote),
    h(
      "div",
      { class: "who" },
      ...context.farm.crews.map((crew) =>
        h("button", { type: "button", on: { click: () => choose(crew) } }, crew.name),
      ),
    ),
  );
}

function crewLine(crew: Crew, change: (() => void) | null): HTMLElement {
  return h(
    "p",
    { class: "who-line" },
    `${ROWS.crew}: `,
    h("strong", {}, crew.name),
    change === null ? null : h("button", { type: "button", class: "quiet", on: { click: change } }, ROWS.changeCrew),
  );
}

/** Tell whether a block is closed at this moment: what the device holds may be older than the closure's end. */
function isClosed({ closed }: BlockSummary, nowMs: number): boolean {
  return closed !== null && Date.parse(closed.until) > nowMs;
}

/** The part of the page that shows briefs; where it does not come there was no answer. */
const briefs = () =>
  import("../brief/block-brief").catch(() => {
    throw new NoAnswer("the part that shows briefs");
  });

/** Show the rows screen. */
export const showRows: Screen = (root, context) => {
  let inner: Shown = STILL;
  let left = false;
  let failed = false;
  /** What the address calls a block and no block goes by: never another one in its place. */
  let unknown: string | null = null;
  /** Whoever marks for one crew only has no other to change to. */
  const bound = context.who.farms.some(({ id, crew_id }) => id === context.farm.id && crew_id !== null);
  const body = h("div", {}, h("p", {}, SHELL.loading));
  fill(root, body);
  const toSetUp = { label: SCREEN_WORD["set-up"], run: () => context.go({ screen: "set-up", block: null }) };

  const say = (text: string): void => fill(body, h("h1", {}, ROWS.title), emptyState(text, toSetUp));
  const again = (error: unknown): void =>
    fill(body, emptyState(sentence(error, SHELL.noAnswer), { label: SHELL.tryAgain, run: () => void start() }));

  const pick = async (overview: Overview, crew: Crew, seasonId: string, wanted?: BlockSummary): Promise<void> => {
    const blocks = await blocksWithOwn(context, overview);
    if (left) return;
    const todays = ownBlocks(context, { crewId: crew.id, day: context.farm.today });
    const { own, again: toGoOver, others } = ownAndOthers(blocks, crew.id);
    inner.leave();
    inner = STILL;
    const day = h("div", { class: "day-here" });
    const enterDay = (): void => {
      const work = { crew, seasonId, blocks: overview.blocks };
      const panel = laterPanel(async () => (await import("./knock-off")).knockOff(context, work, () => fill(day, dayButton)));
      fill(day, panel.box);
      panel.box.scrollIntoView({ block: "nearest" });
    };
    const dayButton = h("button", { type: "button", on: { click: enterDay } }, TOOLS.knockOff);
    fill(day, dayButton);
    fill(
      body,
      h("h1", {}, ROWS.title),
      unknown === null ? null : h("p", { role: "alert", class: "unknown-block" }, ROWS.noSuchBlock(unknown)),
      wanted === undefined ? null : closedNote(wanted, context.farm.time_zone),
      crewLine(crew, bound ? null : () => {
        context.device.set("crew", null);
        void start();
      }),
      blockPicker(
        context,
        overview,
        own.length === 0
          ? [{ title: ROWS.pickBlock, blocks: inOrderOfWork(blocks, todays) }]
          : [
              { title: ROWS.ownBlocks, blocks: own },
              ...(toGoOver.length === 0 ? [] : [{ title: ROWS.againBlocks, blocks: inOrderOfWork(toGoOver, todays) }]),
              { title: ROWS.otherBlocks, blocks: inOrderOfWork(others, todays) },
            ],
        { line: (block) => ROWS.blockLine(block.pruned, block.trees) },
        (block) => context.go({ screen: "rows", block: block.id }),
      ),
      day,
    );
  };
  const open = async (block: BlockSummary, crew: Crew | null, seasonId: string, blocks: readonly BlockSummary[], told?: string): Promise<void> => {
    const { api, tablet, go } = context;
    const [read, log, brief] = await Promise.all([
      api.shape(block.id, block.shape_version),
      api.log(block.id),
      briefs().then(({ readBlockBrief }) => readBlockBrief(context, block)),
    ]);
    // the overview may be older than the log
    const version = log.shape_version ?? read.version;
    const shape = version === read.version ? read : await api.shape(block.id, version);
    if (left) return;
    tablet.memory.setLastBlock(block.id);
    const otherBlock = (): void => {
      tablet.memory.setLastBlock(null);
      if (context.place.block === null) void start();
      else go({ screen: "rows", block: null });
    };
    const changed = (): void => {
      inner.leave();
      void open(block, crew, seasonId, blocks, ROWS.rowsChanged).catch(again);
    };
    inner = showBlockRows(body, context, { block, shape, log, brief }, { crew, seasonId, blocks, pickCrew: askCrew, otherBlock, changed, ...(told === undefined ? {} : { told }) });
  };
  const askCrew = (): void => {
    inner.leave();
    inner = STILL;
    const picked = async (): Promise<void> => {
      await start();
      settle(body);
    };
    fill(body, h("h1", {}, ROWS.title), crewChoice(context, () => void picked()));
  };
  const start = async (): Promise<void> => {
    failed = false;
    try {
      const { farm, place } = context;
      if (farm.season === null) return say(ROWS.noSeason);
      if (farm.crews.length === 0) return say(ROWS.noCrews);
      const overview = await context.api.overview(farm.id, farm.today);
      if (left) return;
      if (overview.blocks.length === 0) return say(ROWS.noBlocks);
      const crew = pickedCrew(context);
      // a crew goes on where it stopped: its last block opens by itself
      const wanted = place.block ?? (crew === null ? null : context.tablet.memory.lastBlock());
      const block = wanted === null ? undefined : (blockOfCode(wanted, overview.blocks) ?? undefined);
      unknown = place.block !== null && block === undefined ? place.block : null;
      const canOpen = block !== undefined && !isClosed(block, Date.now());
      // without a crew a block can be looked at, and an overlap settled; only marking needs one
      if (crew === null && !canOpen) {
        askCrew();
        if (block !== undefined) body.querySelector("h1")?.after(closedNote(block, farm.time_zone));
        return;
      }
      if (crew !== null && !canOpen) return await pick(overview, crew, farm.season.id, block);
      if (block === undefined) return;
      await open(block, crew, farm.season.id, overview.blocks);
    } catch (error) {
      failed = true;
      again(error);
    }
  };
  void start();
  // fetched now: where no worker keeps it, it is here when the connection goes before a block is opened
  void briefs().catch(() => undefined);
  return {
    cursor: () => inner.cursor(),
    newer: (records) => (failed ? void start() : inner.newer(records)),
    leave() {
      left = true;
      inner.leave();
    },
  };
};
