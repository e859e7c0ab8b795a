/** Plan: which crew prunes which block next, proposed, changed by hand, and given out. */

import { language } from "../../core/language";
import { draftOf, draftText, isChanged } from "../../core/plan-draft";
import { changesOf, moved, whereIs, wished, type PlanBoard, type Proposal, type Queues } from "../../core/plan-queues";
import { PLAN } from "../../core/plan-wording";
import { SCREEN_WORD, SHELL } from "../../core/wording";
import { planApi } from "../../data/plan-api";
import { Problem, sentence } from "../../data/request";
import { fill, h } from "../../ui/dom";
import { atEdge } from "../../ui/edges";
import { radioGroup } from "../../ui/field";
import { handOn, type Hand } from "../../ui/hand";
import "../../ui/line-buttons.css";
import { emptyState, notice } from "../../ui/notice";
import { STILL, type Context, type Screen, type Shown } from "../context";
import { newsOf } from "../news";
import { aheadPart } from "./ahead";
import { blockFacts, blockPanel } from "./block-panel";
import { boardPart, fitsWhole, type Scale } from "./board-part";
import { codeOf, crewName, spansHere, type PlanDesk } from "./desk";
import { listPart } from "./list-part";
import "./plan.css";
import { proposalPart } from "./proposal-part";

type View = Scale | "list";
const DRAGGED_MS = 300;
/** So long a list of crews may stand open: no page is told while one chooses in it. */
const CHOOSES_MS = 10_000;
const CLEAR_PX = 12;

/** Return the screen over what was read first. */
function planShown(root: HTMLElement, context: Context, first: PlanBoard, names: PlanDesk["names"]): Shown {
  const api = planApi(context.request);
  const { id } = context.farm;
  const crews = new Map(context.farm.crews.map((crew) => [crew.id, crew.name]));
  const said = notice();
  const standing = h("p", { class: "plan-standing", role: "status" });
  const body = h("div", {});
  const panel = atEdge("bottom", h("div", { class: "plan-picked" }));
  const offer = h("div", {});
  const undone: Queues[] = [];
  const { device } = context;
  const leftHere = draftOf(device.plan(id), first);
  let board = first;
  let plan: Queues = leftHere?.plan ?? first;
  const asked = context.place.block;
  let picked: string | null = asked !== null && first.blocks[asked] !== undefined ? asked : null;
  let proposal: Proposal | null = null;
  /** The last one asked for: its reasons hold for what still stands where it put it. */
  let reasons: Proposal | null = null;
  let busy = false;
  let resizing: ReturnType<typeof setTimeout> | undefined;
  let left = false;
  /** So often it was saved here: what was read before a save tells of a plan that is none any more. */
  let saves = 0;
  /** Somebody else saved a plan since all of it was drawn. */
  let isOthers = false;
  const onPanel = handOn(panel);

  const lasting = new Map<string, number>();
  const ahead = aheadPart(api, context, () => redraw());
  const desk = (): PlanDesk => ({ board, plan, told: ahead.of(board, plan, !hasChanged()), lasting, names, crews, picked, pick, move });
  const unsaved = (): number => changesOf(board, plan).length;
  const hasChanged = (): boolean => isChanged(board, plan);
  let view: View = fitsWhole(desk(), root.clientWidth) ? "whole" : "day";
  const focusOn = (selector: string): void => root.querySelector<HTMLElement>(selector)?.focus({ preventScroll: true });

  const ownFirst = h("input", { type: "checkbox", on: { change: () => change({ ...plan, own_first: ownFirst.checked }) } });
  const propose = h("button", { type: "button", on: { click: () => void ask() } }, PLAN.propose);
  const undo = h("button", { type: "button", "aria-label": PLAN.undoLabel, on: { click: () => takeBack() } }, PLAN.undo);
  const save = h("button", { type: "button", class: "main", on: { click: () => void keep() } }, PLAN.save);
  const shapes: { value: View; label: string }[] = [{ value: "whole", label: PLAN.asWhole }, { value: "day", label: PLAN.asDays }, { value: "list", label: PLAN.asList }];
  const shape = radioGroup(PLAN.show, shapes, view, (value) => {
    view = shapes.find((one) => one.value === value)?.value ?? view;
    draw();
  });

  function draw(): void {
    // whatever ends this visit, the change is here at the next one
    device.keepPlan(id, hasChanged() ? draftText(board, plan) : null);
    drawBody(desk());
    const tools = { words: reasonOf(picked), seasonEnds: board.must_finish_on, keepTerms, closures };
    fill(panel, picked === null ? null : blockPanel(desk(), picked, tools));
    onPanel.drawn();
    isOthers = false;
    fill(offer, proposal === null ? null : proposalPart(desk(), proposal, { take, leave: () => close() }));
    ownFirst.checked = plan.own_first;
    undo.disabled = undone.length === 0 || busy;
    save.disabled = !hasChanged() || busy;
    propose.disabled = busy;
    const n = unsaved();
    standing.textContent = n > 0 ? PLAN.unsaved(n) : hasChanged() ? "" : PLAN.allSaved;
  }
  function reasonOf(block: string | null): string | undefined {
    if (reasons === null || block === null) return undefined;
    const [there, here] = [whereIs(reasons, block), whereIs(plan, block)];
    return proposal !== null || (there?.crew === here?.crew && there?.at === here?.at) ? reasons.words[block] : undefined;
  }
  /** What is picked is not left behind its own panel. */
  function clear(): void {
    const box = body.querySelector(`[data-block="${picked ?? ""}"]`)?.getBoundingClientRect();
    const over = box === undefined ? 0 : box.bottom + CLEAR_PX - panel.getBoundingClientRect().top;
    if (over > 0) window.scrollBy({ top: over });
  }
  function drawBody(now: PlanDesk): void {
    for (const { crew_id } of now.told === null ? [] : plan.queues) for (const { block, from, to } of spansHere(now, crew_id)) lasting.set(block, to - from);
    const far = body.querySelector(".plan-scroll")?.scrollLeft ?? 0;
    fill(body, view === "list" ? listPart(now) : boardPart(now, view, body.clientWidth));
    body.querySelector(".plan-scroll")?.scrollTo({ left: far });
  }
  /** What is pressed down becomes a touch or a drag of what stands there. */
  const isHeld = (): boolean => body.querySelector(".dragged, :active") !== null;
  /** Draw what is told since; what is dragged or half typed stays. */
  function redraw(): void {
    if (isHeld()) return void setTimeout(redraw, DRAGGED_MS);
    if (left) return;
    const active = document.activeElement;
    const line = active !== null && body.contains(active) ? active.closest("li")?.querySelector<HTMLElement>("[data-block]")?.dataset["block"] : undefined;
    const part = active instanceof HTMLSelectElement ? "select" : active instanceof HTMLElement && active.dataset["shift"] !== undefined ? `[data-shift="${active.dataset["shift"]}"]` : "[data-block]";
    const now = desk();
    drawBody(now);
    if (line !== undefined) body.querySelector(`[data-block="${line}"]`)?.closest("li")?.querySelector<HTMLElement>(part)?.focus({ preventScroll: true });
    const facts = panel.querySelector(".plan-facts");
    if (picked !== null && facts !== null) facts.textContent = blockFacts(now, picked);
  }
  function resized(): void {
    clearTimeout(resizing);
    resizing = setTimeout(redraw, DRAGGED_MS);
  }
  function change(to: Queues): void {
    undone.push(plan);
    plan = to;
    draw();
  }
  function pick(block: string | null): void {
    const before = picked;
    picked = block;
    draw();
    focusOn(`[data-block="${block ?? before ?? ""}"]`);
    if (block !== null) clear();
  }
  function move(block: string, to: { crew: string | null; at: number }): void {
    const after = moved(plan, block, to);
    if (changesOf(plan, after).length === 0) return;
    // what was touched keeps the focus, though everything is drawn anew
    const active = document.activeElement;
    const shifted = active instanceof HTMLElement ? active.dataset["shift"] : undefined;
    const inPanel = active !== null && panel.contains(active);
    change(after);
    const here = whereIs(plan, block);
    const code = codeOf(desk(), block);
    said.say(here?.crew == null ? PLAN.movedToTray(code) : PLAN.moved(code, crewName(desk(), here.crew), here.at + 1));
    const own = root.querySelector<HTMLElement>(`[data-block="${block}"]`);
    if (shifted === undefined) own?.focus({ preventScroll: true });
    else (inPanel ? panel : own?.closest("li"))?.querySelector<HTMLElement>(`[data-shift="${shifted}"]`)?.focus({ preventScroll: true });
    if (block === picked) clear();
  }
  function takeBack(): void {
    const before = undone.pop();
    if (before === undefined) return;
    plan = { ...before, revision: plan.revision };
    said.say(PLAN.undone);
    draw();
  }
  async function during(run: () => Promise<void>): Promise<void> {
    busy = true;
    draw();
    try {
      await run();
    } catch (error) {
      if (!left) said.say(sentence(error, SHELL.noAnswer), "bad");
    } finally {
      busy = false;
      if (!left) draw();
    }
  }
  const ask = (): Promise<void> =>
    during(async () => {
      said.say(PLAN.proposing);
      proposal = await api.propose(id, language());
      reasons = proposal;
      if (left) return;
      said.say("");
      draw();
      focusOn(".plan-proposal h2");
    });
  function take(): void {
    if (proposal === null) return;
    const { queues, open } = proposal;
    proposal = null;
    change({ ...plan, queues, open });
    said.say(PLAN.taken, "good");
    save.focus();
  }
  function close(): void {
    proposal = null;
    draw();
    propose.focus();
  }
  /** Read the board anew; what was changed here stays, over what is new. */
  async function read(): Promise<void> {
    const before = saves;
    const fresh = await api.queues(id);
    if (left) return;
    if (before !== saves) return read();
    // what was moved while it was read is changed here too
    const mine = hasChanged() ? plan : null;
    const isOthers = fresh.revision !== board.revision;
    board = fresh;
    plan = mine === null ? fresh : wished(fresh, mine);
    if (mine !== null && isOthers) said.say(PLAN.newer, "bad");
    if (picked !== null && board.blocks[picked] === undefined) picked = null;
  }
  const keep = (): Promise<void> =>
    during(async () => {
      const sent = plan;
      let saved: PlanBoard;
      try {
        saved = await api.save(id, sent);
      } catch (error) {
        if (!(error instanceof Problem && error.status === 409)) throw error;
        await read();
        return;
      }
      saves += 1;
      if (left) return;
      // what was moved meanwhile is not saved yet
      plan = plan === sent ? saved : wished(saved, plan);
      board = saved;
      proposal = null;
      undone.length = 0;
      said.say(PLAN.saved, "good");
    });
  async function keepTerms(terms: { must_finish_on: string | null; platform_fits: boolean | null }): Promise<void> {
    if (picked === null) return;
    await api.setTerms(picked, terms);
    await read();
    if (left) return;
    said.say(PLAN.keptTerms(codeOf(desk(), picked)), "good");
    draw();
  }

  async function closureChanged(words: string): Promise<void> {
    said.say(words, "good");
    await read();
    if (left) return;
    draw();
    focusOn(`[data-block="${picked ?? ""}"]`);
  }
  const closures = { api, timeZone: context.farm.time_zone, changed: (words: string) => void closureChanged(words).catch(() => undefined) };

  /** How long to wait yet for whoever may be choosing in a list of crews. */
  const chooses_ms = ({ rested_ms }: Pick<Hand, "rested_ms">): number =>
    body.contains(document.activeElement) && document.activeElement instanceof HTMLSelectElement ? CHOOSES_MS - rested_ms() : 0;
  /** Show what is new by itself; what is picked, half typed or dragged stays. */
  async function follow(isUnasked: boolean): Promise<void> {
    const [{ revision }, was] = [board, picked];
    await read().catch(() => undefined);
    if (left) return;
    isOthers ||= board.revision !== revision;
    const drawn = (): void => {
      if (left) return;
      if (isHeld() || chooses_ms(onPanel) > 0) return void setTimeout(drawn, DRAGGED_MS);
      news.draw(() => (picked !== was || (isOthers && !onPanel.holds()) ? draw() : redraw()), isUnasked);
    };
    drawn();
  }
  const news = newsOf({
    body,
    cursor: () => board.cursor,
    read: follow,
    waits_ms: chooses_ms,
  });

  fill(
    root,
    h("h1", {}, PLAN.title),
    h("p", { class: "plan-purpose" }, PLAN.purpose),
    h("div", { class: "board-tools" }, propose, undo, save, shape.box, h("label", { class: "radio" }, ownFirst, h("span", {}, PLAN.ownFirst))),
    ahead.box,
    standing,
    said.box,
    offer,
    body,
    panel,
  );
  if (leftHere !== null) {
    undone.push(first);
    said.say(leftHere.isOvertaken ? PLAN.newer : PLAN.leftHere, leftHere.isOvertaken ? "bad" : undefined);
  }
  draw();
  addEventListener("resize", resized);
  return {
    cursor: () => board.cursor,
    newer: news.newer,
    leave() {
      left = true;
      news.leave();
      onPanel.leave();
      removeEventListener("resize", resized);
      ahead.leave();
    },
  };
}

/** Show the screen. */
export const showPlan: Screen = (root, context) => {
  let inner: Shown = STILL;
  let left = false;
  const { farm } = context;
  const toSetUp = { label: SCREEN_WORD["set-up"], run: () => context.go({ screen: "set-up", block: null }) };
  const say = (text: string): void => fill(root, h("h1", {}, PLAN.title), emptyState(text, toSetUp));
  const start = async (): Promise<void> => {
    if (farm.season === null) return say(PLAN.noSeason);
    if (farm.crews.length === 0) return say(PLAN.noCrews);
    fill(root, h("h1", {}, PLAN.title), h("p", {}, SHELL.loading));
    try {
      const [board, { blocks }] = await Promise.all([planApi(context.request).queues(farm.id), context.api.overview(farm.id, farm.today)]);
      if (left) return;
      if (Object.keys(board.blocks).length === 0) fill(root, h("h1", {}, PLAN.title), h("p", {}, PLAN.nothingLeft));
      else inner = planShown(root, context, board, new Map(blocks.map((block) => [block.id, block])));
    } catch (error) {
      if (!left) fill(root, h("h1", {}, PLAN.title), emptyState(sentence(error, SHELL.noAnswer), { label: SHELL.tryAgain, run: () => void start() }));
    }
  };
  void start();
  return {
    cursor: () => inner.cursor(),
    newer: (records) => inner.newer(records),
    leave() {
      left = true;
      inner.leave();
    },
  };
};
