/**
 * Counting sample trees: one tree after the other, drawn over the block, and what they tell so far.
 *
 * Each touch is kept; a tree that is counted is one record in the outbox. So a tablet that dies takes the touch of that moment with it, no more.
 */

import type { BlockCounts, BlockShape, BlockSummary, CountedThing, TreeCount } from "../../core/contracts";
import { countEstimate, type CountEstimate } from "../../core/count-estimate";
import { atTree, countingFrom, leftInRound, nextTree, withMore, withNumber, withoutTree, type Counting, type Draw } from "../../core/counting";
import { drawnTrees, SEEDS, treeKey, treesWalked, type Tree } from "../../core/sample-trees";
import { soFarWords, TALLY, targetWords, THING } from "../../core/tally-wording";
import { COUNTED_THINGS, countedTrees, lastOwn, linesOfSeason, newTreeCount, standingLines } from "../../core/tree-counts";
import { usualWalk, walkFrom, type Walk } from "../../core/walking";
import { SHELL } from "../../core/wording";
import { fill, h } from "../../ui/dom";
import { radioGroup } from "../../ui/field";
import { notice } from "../../ui/notice";
import { settle } from "../../ui/settling";
import { freshId, recorderId, stamp, type Context } from "../context";
import { countPad } from "./count-pad";
import { otherTree } from "./other-tree";
import "./counting.css";

export interface CountingGiven {
  block: BlockSummary;
  shape: BlockShape;
  seasonId: string;
  /** How the block is walked; as this tablet knows it where nothing is said. */
  walk?: Walk;
}

/** What is known of the block's counts: the service's, with this device's own over them. */
interface Known {
  estimate(what: CountedThing): CountEstimate;
  isCounted(what: CountedThing, tree: Tree): boolean;
  last(what: CountedThing): TreeCount | null;
}

function knownOf({ sending }: Context, { shape, seasonId }: CountingGiven, trees: number, counts: BlockCounts | null): Known {
  const read = counts === null ? { cursor: -1, season_id: seasonId } : { ...counts, season_id: seasonId };
  const standing = standingLines(linesOfSeason(counts, seasonId), sending.pendingFor(shape.id, read));
  const keys = new Set(standing.map(([, row, position, what]) => `${what} ${treeKey({ row, position })}`));
  return {
    estimate: (what) => countEstimate(countedTrees(standing, what, shape.rows), trees, counts?.aim),
    isCounted: (what, tree) => keys.has(`${what} ${treeKey(tree)}`),
    last: (what) => lastOwn(sending.entries(), shape.id, seasonId, what),
  };
}

/** Tell whether what was kept of a count stood on other ground than the block's is now. */
function isOtherGround(kept: unknown, { ground }: BlockShape): boolean {
  const told = (kept as Partial<Counting> | null | undefined)?.ground;
  return typeof told === "string" && ground !== undefined && told !== ground;
}

/** Open the counting over the screen; returns the way to shut it, and `closed` hears when it was left. */
export function openCounting(context: Context, given: CountingGiven, closed: () => void): () => void {
  const { api, farm, sending, halfDone, tablet, deviceId } = context;
  const { block, shape, seasonId } = given;
  const walk = given.walk ?? walkFrom(tablet.memory.walk(block.id), shape.rows) ?? usualWalk(shape.rows);
  const trees = treesWalked(shape.rows, walk);
  const slot = `count:${block.id}`;
  let counts: BlockCounts | null = null;
  let now: Counting = { seasonId, what: "buds_before", seed: 0, id: freshId(), tree: null, isDrawn: true, isExtra: false, number: 0, ahead: [], passed: [], ground: shape.ground ?? null };

  const said = notice();
  const soFar = h("p", { class: "count-so-far", role: "status" });
  const target = h("p", { class: "count-target" });
  const where = h("h2", { class: "count-where" });
  const about = h("p", { class: "count-about" });
  const how = h("p", { class: "count-how" });
  const pad = countPad({ by: (more) => take(withMore(now, more)), typed: (number) => take(withNumber(now, number)) });
  const button = (text: string, looks: { class?: string }, click: () => void): HTMLButtonElement =>
    h("button", { type: "button", ...looks, on: { click } }, text);
  const next = button(TALLY.next, { class: "main count-next" }, () => void keepTree());
  const undo = button("", { class: "count-undo" }, () => void undoLast());
  const tools = h("div", { class: "count-tools" }, button(TALLY.other, {}, () => chooseTree()), button(TALLY.leaveOut, {}, () => leaveOut()));
  const choice = h("div", { class: "count-choice" });
  const sheet = h("div", { class: "count-sheet" }, h("p", {}, SHELL.loading));
  const box = h(
    "dialog",
    { class: "counting", "aria-labelledby": "counting-title" },
    h("header", {}, h("h1", { id: "counting-title" }, TALLY.title(block.code)), button(TALLY.close, {}, () => box.close())),
    sheet,
  );

  const isInOutbox = (id: string): boolean => sending.entries().some((entry) => entry.id === id);
  const known = (): Known => knownOf(context, given, trees.length, counts);
  const draw = (): void => {
    const { what, tree } = now;
    const all = known();
    const told = all.estimate(what);
    const words = soFarWords(what, told, trees.length, leftInRound(now));
    if (soFar.textContent !== words) soFar.textContent = words; // read out when it changes, not at every touch
    target.textContent = targetWords(what, told.mean, counts?.season_id === seasonId ? counts.target : null);
    where.textContent = tree === null ? TALLY.allDone : TALLY.place(tree.row, tree.position);
    about.textContent = [
      tree !== null && !now.isDrawn ? TALLY.chosen : "",
      tree !== null && all.isCounted(what, tree) ? TALLY.isCounted : "",
      tree !== null && now.isDrawn && now.ahead.length > 0 ? TALLY.ahead(now.ahead.length) : "",
    ].filter((part) => part !== "").join(" ");
    how.textContent = what === "buds_on_limb" ? TALLY.oneLimb : "";
    pad.set(now.number);
    pad.box.inert = next.disabled = tree === null;
    next.classList.toggle("main", now.number > 0); // nothing on a tree is said on purpose, not by a touch too many
    next.textContent = now.number === 0 ? TALLY.noneHere : TALLY.next;
    const last = now.number === 0 ? all.last(what) : null;
    undo.hidden = last === null;
    if (last !== null) undo.textContent = TALLY.undo(TALLY.place(last.row, last.position), last.number ?? 0);
  };
  /** Show another state of the count, and keep it. */
  const take = (changed: Counting): void => {
    now = changed;
    void halfDone.keep(slot, now);
    draw();
  };
  const drawOf = (what: CountedThing): Draw => {
    const all = known();
    const { treesNeeded, trees: counted } = all.estimate(what);
    return {
      id: freshId(),
      missing: treesNeeded === null ? null : treesNeeded - counted,
      trees: (n, but) => drawnTrees(trees, now.seed, n, (tree) => but.has(treeKey(tree)) || all.isCounted(what, tree)),
    };
  };
  const countAnother = (what: CountedThing): void => {
    const { tree } = now;
    const other = { ...now, what, isExtra: false, ahead: [] };
    take(tree !== null && !known().isCounted(what, tree) ? other : nextTree(other, drawOf(what)));
    said.say("");
  };
  const leaveOut = (): void => {
    take(withoutTree(now, drawOf(now.what)));
    said.say("");
  };
  const chooseTree = (): void => {
    const leave = (): void => fill(choice);
    const begin = now.tree ?? trees[0];
    if (begin === undefined) return;
    const picked = (tree: Tree): void => {
      leave();
      take(atTree(now, tree, freshId()));
    };
    fill(choice, otherTree(shape.rows, begin, { chosen: picked, left: leave, isCounted: (tree) => known().isCounted(now.what, tree) }));
    choice.scrollIntoView({ block: "nearest" });
  };
  /** Hand in a record; tells whether this device or the service has it. */
  const handIn = async (tree: Tree, number: number | null, more: { id: string; replacesId?: string; seed: number | null }): Promise<boolean> => {
    const about = { seasonId, blockId: block.id, what: now.what, day: farm.today, deviceId, recorderId: recorderId(context), ground: shape.ground };
    const { id, ...found } = more;
    const values = [newTreeCount(about, { ...tree, number, ...found }, { ...stamp(), id })];
    const fate = await sending.handIn(farm.id, { kind: "tree_counts", values }, { block: block.id, ...tree });
    if (fate.state !== "refused" && fate.state !== "not-sent") return true;
    said.say(fate.state === "refused" ? TALLY.refused(fate.problem.message) : TALLY.notSafe, "bad");
    said.box.scrollIntoView({ block: "nearest" }); // below the fold of a low screen nobody would see it
    return false;
  };
  const keepTree = async (): Promise<void> => {
    const { tree, number, isDrawn, seed } = now;
    if (tree === null) return;
    // another tab may have kept this tree under the id that both read; one id never says two things
    const id = isInOutbox(now.id) ? freshId() : now.id;
    fill(choice);
    sheet.inert = true;
    const kept = await handIn(tree, number, { id, seed: isDrawn ? seed : null });
    sheet.inert = false;
    if (kept) said.say(TALLY.kept(TALLY.place(tree.row, tree.position), number), "good");
    take(nextTree(now, drawOf(now.what)));
    // a second tap would say that there is nothing on the next tree; the keyboard comes back to the button
    settle(next, () => next.focus({ preventScroll: true }));
    settle(undo);
  };
  const undoLast = async (): Promise<void> => {
    const last = known().last(now.what);
    if (last === null) return;
    sheet.inert = true;
    const tree = { row: last.row, position: last.position };
    const kept = await handIn(tree, null, { id: freshId(), replacesId: last.id, seed: null });
    sheet.inert = false;
    take({ ...withNumber(atTree(now, tree, freshId()), last.number ?? 0), isDrawn: last.seed !== undefined });
    if (kept) said.say(TALLY.takenBack(TALLY.place(tree.row, tree.position)));
  };
  const start = async (): Promise<void> => {
    const [kept, read] = await Promise.all([halfDone.read(slot), api.counts(block.id).catch(() => null)]);
    counts = read;
    const before = countingFrom(kept, seasonId, shape.ground ?? null);
    now = before ?? { ...now, seed: Math.floor(Math.random() * SEEDS) };
    // the page was left between keeping the record and the next tree
    const isGone = now.tree !== null && !trees.some((tree) => treeKey(tree) === treeKey(now.tree ?? tree));
    if (before === null || before.tree === null || isInOutbox(now.id) || isGone) now = nextTree(now, drawOf(now.what));
    const whats = COUNTED_THINGS.map((value) => ({ value, label: THING[value] }));
    const what = radioGroup(TALLY.what, whats, now.what, (value) => {
      const picked = COUNTED_THINGS.find((one) => one === value);
      if (picked !== undefined) countAnother(picked);
    });
    fill(
      sheet,
      h("div", {}, what.box, how),
      h("section", { class: "count-tree" }, where, about, pad.box, next, tools, undo, choice),
      h("section", { class: "count-told" }, said.box, soFar, target),
    );
    if (read === null) said.say(TALLY.othersUnknown);
    if (isOtherGround(kept, shape)) said.say(TALLY.otherGround, "bad");
    take(now);
  };
  const stop = sending.listen(() => {
    if (box.open && !sheet.inert && sheet.contains(next)) draw();
  });
  box.addEventListener("close", () => {
    stop();
    box.remove();
    closed();
  });
  document.body.append(box);
  box.showModal();
  void start();
  return () => box.close();
}
