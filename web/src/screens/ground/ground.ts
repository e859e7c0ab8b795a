/** The ground of one block: its rows on a plan and in a list, edits that are tried at once, and the list of changes before they are taken. */

import type { Lonlat } from "../../core/contracts";
import { Problem } from "../../data/request";
import { trees } from "../../core/counted";
import type { BlockGround, GroundRow, TakenChange } from "../../core/ground-contracts";
import { GROUND } from "../../core/ground-wording";
import { SHELL } from "../../core/wording";
import type { TileSource } from "../../core/tiles";
import { groundApi, type FarmBlock } from "../../data/ground-api";
import { sentence } from "../../data/request";
import { fill, h } from "../../ui/dom";
import { emptyState, notice } from "../../ui/notice";
import { freshId, STILL, type Context, type Screen } from "../context";
import { placeLink } from "../place-link";
import { blockPanel, type CutDraft } from "./block-panel";
import { changePanel } from "./change-panel";
import { drawBlock } from "./draw-block";
import "../../ui/line-buttons.css";
import "./ground.css";
import { groundPlan } from "./ground-plan";
import { groundDesk, type GroundDesk, type Wish } from "./ground-state";
import { history } from "./history";
import { pickTwo, type PickWords } from "./pick-points";
import { rowList } from "./row-list";
import { rowPanel } from "./row-panel";
import { addRow, rowsPanel } from "./rows-panel";
import { surveyPart } from "./survey";
import { trouble } from "./trouble";

/** Run something that draws `root` anew, and give the focus back to what stands there under the same key. */
function keepingFocus(root: HTMLElement, draw: () => void): void {
  const key = document.activeElement instanceof HTMLElement && root.contains(document.activeElement) ? document.activeElement.dataset["key"] : undefined;
  draw();
  if (key !== undefined && !root.contains(document.activeElement)) root.querySelector<HTMLElement>(`[data-key="${CSS.escape(key)}"]`)?.focus();
}

/** Show the page of a block; of block "new", the page that draws one. */
export const showGround: Screen = (root, context) => {
  const api = groundApi(context.request);
  const { farm, place } = context;
  const back = placeLink({ screen: "set-up", block: null }, GROUND.back, context.go, { class: "ground-back" });
  const wanted = place.block ?? "new";
  let desk: GroundDesk | null = null;
  const warn = (event: BeforeUnloadEvent): void => {
    if ((desk?.steps ?? 0) > 0) event.preventDefault();
  };
  window.addEventListener("beforeunload", warn);

  const load = async (told = ""): Promise<void> => {
    try {
      const [blocks, base, changes] = await Promise.all([
        api.blocks(farm.id),
        wanted === "new" ? null : api.block(wanted),
        api.changes(farm.id),
      ]);
      if (base === null) fill(root, h("p", {}, back), drawBlock(context, api, blocks, changes.tiles));
      else desk = show(root, context, { base, blocks, changes: changes.changes, tiles: changes.tiles, back, told, again: (words) => void load(words) });
    } catch (error) {
      fill(root, h("p", {}, back), emptyState(sentence(error, SHELL.noAnswer), { label: SHELL.tryAgain, run: () => void load() }));
    }
  };
  fill(root, h("p", {}, GROUND.loading));
  void load();
  const leave = (): void => {
    window.removeEventListener("beforeunload", warn);
    desk?.keep();
  };
  return { ...STILL, leave };
};

interface Loaded {
  base: BlockGround;
  blocks: readonly FarmBlock[];
  changes: readonly TakenChange[];
  tiles: TileSource | null;
  back: HTMLElement;
  told: string;
  /** Read everything anew, with a sentence to say. */
  again(words: string): void;
}

function show(root: HTMLElement, context: Context, { base, blocks, changes, tiles, back, told, again }: Loaded): GroundDesk {
  const api = groundApi(context.request);
  const { farm } = context;
  const said = notice();
  const panels = h("div", { class: "ground-panels" });
  const facts = h("p", { class: "lead" });
  const open = new Set<string>();
  let chosen: ReadonlySet<number> = new Set();
  let isTaking = false;
  let lastPlace = 1;
  /** Somebody changed the block meanwhile: what is tried here is of no use any more. */
  let isOld = false;

  const failed = (error: unknown): void => {
    isOld ||= error instanceof Problem && error.kind === "changed";
    said.say(trouble(error), "bad");
  };
  const codeOf = (id: string): string =>
    blocks.find((block) => block.id === id)?.code ?? desk.found?.blocks.find((block) => block.id === id)?.code ?? id.slice(0, 8);
  const desk = groundDesk(base, { preview: (body) => api.preview(farm.id, body), freshId, changed: () => draw(), failed, lost: () => said.say(GROUND.lost, "bad") });
  const choose = (rows: readonly number[]): void => {
    lastPlace = 1;
    chosen = new Set(rows);
    draw();
  };
  const edit = (wish: Wish, others: Readonly<Record<string, string>> = {}): void => {
    said.say("");
    if (wish.kind === "count-row") lastPlace = placeInFocus() ?? lastPlace;
    if (wish.kind === "number-rows") {
      const numbers = new Map(wish.numbers);
      chosen = new Set([...chosen].map((row) => numbers.get(row) ?? row));
    }
    desk.edit(wish, others);
  };
  const plan = groundPlan(blocks, base.id, {
    chosen: (row) => choose(chosen.size === 1 && chosen.has(row) ? [] : [row]),
    moved: (row, parts) => edit({ kind: "move-row", row, parts }),
  }, tiles);
  const survey = surveyPart(context, () => desk.ground, edit);
  const list = rowList(choose);
  const changed = changePanel(codeOf, { take: () => void take(), readAnew: () => again("") }, told, said.box);
  const take = async (): Promise<void> => {
    isTaking = true;
    draw();
    try {
      const { versions } = await api.take(farm.id, desk.body());
      desk.discard();
      if (versions[base.id] === null) context.go({ screen: "set-up", block: null });
      else again(GROUND.taken);
    } catch (error) {
      failed(error);
    }
    isTaking = false;
    draw();
  };
  const past = history(changes, { api, farm, freshId, codeOf, takenBack: () => again(GROUND.takenBack) });
  const versionOf = async (block: string): Promise<string> => (await api.block(block)).version;
  const pickRow: PickWords = { button: GROUND.drawRow, first: GROUND.rowFirstPoint, second: GROUND.rowSecondPoint };
  const addDrawn = (first: Lonlat, last: Lonlat): void => edit({ kind: "add-row", parts: [[first, last]], number: null });
  const rowPanels = (ground: BlockGround, rows: readonly GroundRow[]): (Node | null)[] => {
    const [only] = rows.length === 1 ? rows : [];
    return [
      only !== undefined ? rowPanel(only, edit, { open, at: lastPlace, look: () => plan.lookAt(only.parts.flat()) }) : null,
      rows.length > 1 ? rowsPanel(rows, edit, (wishes) => desk.editAll(wishes), open) : null,
      addRow(ground, rows.map(({ number }) => number), edit, pickTwo(plan, pickRow, addDrawn), open),
    ];
  };
  // what is typed into a panel stays there until what it is about is another
  const cut: CutDraft = { code: "", otherSide: false };
  const rowBox = redrawn();
  const blockBox = redrawn();
  const drawPanels = (ground: BlockGround, rows: readonly GroundRow[]): void => {
    rowBox.draw(JSON.stringify([rows, ground.planting?.row_spacing_m]), () => rowPanels(ground, rows));
    blockBox.draw(JSON.stringify([ground.code, ground.name, ground.variety_id, ground.outline, ground.planting, chosen.size === 2 ? [...chosen] : []]), () => [
      blockPanel(ground, [...chosen], blocks, plan, { edit, freshId, versionOf, failed, survey, cut, varieties: farm.varieties }, open),
    ]);
  };
  const draw = (): void => {
    const { ground } = desk;
    const there = new Set(ground?.rows.map(({ number }) => number));
    chosen = new Set([...chosen].filter((row) => there.has(row)));
    keepingFocus(root, () => {
      const beside = (desk.found?.blocks ?? []).flatMap((one) => (one.before === null && one.ground !== null ? [one.ground] : []));
      plan.draw(ground, chosen, beside);
      list.draw(ground, chosen);
      changed.draw(desk, { isTaking, isOld });
      facts.textContent = ground === null ? GROUND.gone(base.code) : sizeOf(ground);
      if (ground === null) fill(panels);
      else {
        drawPanels(ground, ground.rows.filter(({ number }) => chosen.has(number)));
        if (panels.childElementCount === 0) fill(panels, rowBox.box, blockBox.box);
      }
    });
  };
  fill(
    root,
    h("p", {}, back),
    h("h1", {}, GROUND.title(base.code)),
    facts,
    h(
      "div",
      { class: "ground-desk" },
      h("div", { class: "ground-left" }, plan.box, h("div", { class: "ground-later" }, changed.box)),
      h("div", { class: "ground-right" }, h("p", { class: "field-hint" }, GROUND.help), list.box, panels, past),
      changed.foot,
    ),
  );
  draw();
  plan.look();
  return desk;
}

/** A box that is filled anew only where what it shows is another. */
function redrawn(): { box: HTMLElement; draw(about: string, make: () => (Node | null)[]): void } {
  const box = h("div", {});
  let last = "";
  return {
    box,
    draw(about, make) {
      if (about === last) return;
      last = about;
      fill(box, ...make());
    },
  };
}

function sizeOf(ground: BlockGround): string {
  const all = ground.rows.reduce((sum, row) => sum + row.trees, 0);
  if (ground.outline === null) return GROUND.blockFactsOfRows(ground.rows.length, trees(all));
  return GROUND.blockFacts(ground.rows.length, trees(all), ground.area_ha);
}

function placeInFocus(): number | null {
  const focused = document.activeElement;
  const position = focused instanceof HTMLElement ? Number(focused.dataset["position"]) : Number.NaN;
  return Number.isInteger(position) ? position : null;
}
