/**
 * The walk over the drawn trees of a lot: tree after tree, point by point, without a connection too.
 *
 * Each touch is kept; a tree that is judged is one record in the outbox. So a tablet that dies takes the touch of that moment with it, no more.
 */

import type { BriefVersion } from "../../core/brief-contracts";
import type { Check, CheckLine, NotJudged, TreeVerdict, UnjudgedCheck } from "../../core/contracts";
import { newCheck, newUnjudged } from "../../core/records";
import { withChecksOf } from "../../core/own-records";
import { treeKey } from "../../core/sample-trees";
import { earlyWords, SKIP, unjudgedWords, WALK } from "../../core/check-walk-wording";
import { CHECKS } from "../../core/checks-wording";
import { isBegun, walkOnGround, walkTo, withPhoto } from "../../core/walk-begun";
import {
  atTree, freshTree, judged, NO_WALK, treeAgain, walkFrom, withAnswer, withBack, withRestYes, withoutTree, withSkipped, type TreeDraft, type WalkDraft,
} from "../../core/walk-draft";
import type { LotPack } from "../../core/quality-contracts";
import { leftOutOf, type LeftOutTrees } from "../../core/stand-ins";
import { lotSoFar, walkStanding, type LotSoFar, type WalkStanding, type WalkTree } from "../../core/walk-standing";
import { beginsAtFarEnd, fromEnd } from "../../core/walk-ends";
import { walkName } from "../../core/walks-here";
import { SHELL, TREE_VERDICT } from "../../core/wording";
import { sentence } from "../../data/request";
import { fill, h } from "../../ui/dom";
import type { BlockReading } from "../block-reading";
import { freshId, stamp, type Context, type Shown } from "../context";
import { auditorId, withoutOwn } from "./auditor";
import { walkBar, wholeTreeBar } from "./walk-bar";
import { walkEnd } from "./walk-end";
import { walkPhotos } from "./walk-photo";
import { walkPoints } from "./walk-points";
import { offTreeWords } from "./walk-position";
import { noteField, skipChoice } from "./walk-tools";
import { walkTrees } from "./walk-trees";
import { walkWhere } from "./walk-where";
import "./walk.css";

export interface LotGiven {
  reading: BlockReading;
  seasonId: string;
  lot: LotPack;
  /** What its trees are judged by: the version that held when it was drawn; null where there was none. */
  brief: BriefVersion | null;
  drawings: ReadonlyMap<string, string>;
  isSecond: boolean;
  /** The heading, and the ways to anything else. */
  head: HTMLElement;
  /** Told the lots of the block whenever they are read. */
  heard(lots: readonly LotPack[]): void;
}

/** Show the walk in `root`. */
export function showLotWalk(root: HTMLElement, context: Context, given: LotGiven): Shown {
  const { reading, seasonId, lot, brief, isSecond } = given;
  const { block, shape } = reading;
  const slot = walkName(lot.id, isSecond);
  const points = brief?.content.points.filter(({ is_checked }) => is_checked) ?? [];
  let state = reading.state;
  let walk: WalkDraft = NO_WALK;
  let left = false;
  let sentences: readonly string[] = [];
  let isListed = false;

  const progress = h("p", { class: "walk-progress", role: "status" });
  const where = walkWhere(shape);
  const about = h("p", { class: "walk-about" });
  const list = brief === null || points.length === 0 ? null : walkPoints(brief, given.drawings, (key, answer) => change((tree) => withAnswer(tree, key, answer)));
  const bar =
    list === null
      ? wholeTreeBar({ save: (verdict) => void save(verdict) }, brief !== null ? WALK.noPoints : lot.brief_id === null ? WALK.noBrief : WALK.briefMissing)
      : walkBar(
          { allYes: () => change((tree) => withRestYes(tree, points)), save: (verdict) => void save(verdict) },
          points.some(({ kind }) => kind === "yes_no"),
        );
  const note = noteField((text) => change((tree) => ({ ...tree, note: text })));
  const photos = walkPhotos(context, {
    checkId: () => walk.tree?.checkId ?? "",
    taken(checkId, id) {
      keep(withPhoto(walk, checkId, id));
      change((tree) => tree);
    },
    dropped: (id) => change((tree) => ({ ...tree, photos: tree.photos.filter((one) => one !== id) })),
    say: (text) => bar.say(text, "bad"),
  });
  const listButton = h("button", { type: "button", on: { click: () => toggleList() } }, WALK.allTrees);
  const skip = skipChoice(isSecond ? WALK.whyNotSecond : WALK.whyNotHint, (reason) => void (isSecond ? passBy(reason) : leaveOut(reason)));
  const position = offTreeWords(shape, () => walk.tree);
  const sheet = h(
    "div",
    { class: "walk-sheet" },
    where.box,
    about,
    h("div", { class: "walk-tools" }, photos.box, note.button, skip.button, position.button, listButton),
    note.box,
    position.box,
    skip.box,
    list?.box ?? null,
  );
  const line = h("div", { class: "walk-line" }, progress);
  const body = h("div", {}, h("p", {}, SHELL.loading));

  const toWalk = (): LotPack => fromEnd(isSecond ? withoutOwn(context, lot, state.checks) : lot, walk.isFar ?? false);
  const leftOut = (): LeftOutTrees => leftOutOf(lot, state.not_judged ?? [], shape.rows);
  const passedBy = (): LeftOutTrees => new Map(walk.skipped.map((one) => [treeKey(one), one.reason]));
  const standing = (): WalkStanding => walkStanding(toWalk(), state.checks, isSecond ? passedBy() : leftOut(), isSecond, walk.last);
  const soFar = (): LotSoFar => lotSoFar(lot, state.checks, leftOut());
  const keep = (changed: WalkDraft): void => {
    walk = changed;
    void context.halfDone.keep(slot, walk);
  };
  const change = (by: (tree: TreeDraft) => TreeDraft): void => {
    if (walk.tree === null) return;
    keep(atTree(walk, { ...by(walk.tree), isAsSaid: false }));
    position.begun();
    bar.say("");
    draw();
  };
  const drawTree = (tree: TreeDraft, now: WalkStanding): void => {
    const known = now.trees.find((one) => treeKey(one) === treeKey(tree));
    where.draw(tree, walk.last, now.trees, state);
    about.textContent = [
      known?.isExtra === true ? WALK.extra : known?.standsIn === true ? WALK.standsIn : "",
      known?.check ? WALK.checkedBefore(TREE_VERDICT[known.check[3]].toLowerCase()) : "",
      isSecond ? WALK.secondNote : earlyWords(soFar().verdict),
    ].filter((part) => part !== "").join(" ");
    list?.draw(tree);
    note.draw(tree.note);
    photos.draw(tree.photos);
    if (isSecond && auditorId(context) === null) bar.shut(WALK.whoSecond);
    else bar.draw(judged(tree, points));
  };
  const drawProgress = (now: WalkStanding): void => {
    const words = WALK.progress(now.done, now.all, now.row, now.rows);
    if (progress.textContent !== words) progress.textContent = words;
  };
  const draw = (): void => {
    const now = standing();
    drawProgress(now);
    if (isListed) return fill(body, walkTrees(now.trees, new Set(walk.begun.map(treeKey)), { chosen: goTo, turn: fromOtherEnd, back: toggleList }));
    const { tree } = walk;
    if (tree === null) return fill(body, walkEnd({ lot, state, trees: now.trees, far: soFar(), isSecond, sentences, again: goTo, go: context.go, list: toggleList }));
    if (!body.contains(sheet)) fill(body, sheet, bar.box);
    drawTree(tree, now);
  };
  /** Trees that get no check: their photos belong to none. */
  const dropPhotos = (trees: readonly TreeDraft[]): void => {
    for (const photo of trees.flatMap((one) => one.photos)) void context.photos().then((kept) => kept.remove(photo)).catch(() => undefined);
  };
  const goTo = (tree: WalkTree): void => {
    isListed = false;
    skip.shut();
    const { check } = tree;
    keep(walkTo(withBack(walk, tree), tree, check === null ? freshTree(tree, freshId()) : treeAgain(tree, freshId(), check, context.sending.entries(), points)));
    bar.say("");
    draw();
    line.scrollIntoView({ block: "start" });
  };
  const fromOtherEnd = (): void => {
    isListed = false;
    keep({ ...walk, isFar: !(walk.isFar ?? false), last: null });
    goOn();
  };
  /** Go to the next tree, or to the end. */
  const goOn = (): void => {
    showNext();
    if (walk.tree !== null) line.scrollIntoView({ block: "start" }); // the head of the page is not needed from tree to tree
    else window.scrollTo({ top: 0 });
  };
  const showNext = (): void => {
    skip.shut();
    position.clear();
    const { next } = standing();
    keep(next === null ? atTree(walk, null) : walkTo(walk, next, freshTree(next, freshId())));
    if (next === null) void hearVerdict();
    draw();
  };
  /** A second look goes on; nobody need know why. */
  const passBy = (reason: NotJudged): void => {
    const { tree } = walk;
    if (tree === null) return;
    dropPhotos([tree]);
    keep(withSkipped(walk, reason));
    bar.say(WALK.skipped(WALK.place(tree.row, tree.position), SKIP[reason]));
    goOn();
  };
  /** What the records of the open tree have in common. */
  const atHand = ({ row, position, checkId, note: said }: TreeDraft) => {
    const isExtra = lot.trees.find(([r, p]) => r === row && p === position)?.[2] ?? false;
    // another tab may have kept this tree under the id that both read; one id never says two things
    const id = context.sending.entries().some((entry) => entry.id === checkId) ? freshId() : checkId;
    return {
      about: { seasonId, blockId: block.id, brief, auditorId: auditorId(context), day: context.farm.today, deviceId: context.deviceId, ground: shape.ground },
      found: { row, position, drawn: !isExtra, note: said, lotId: lot.id },
      stamp: { ...stamp(), id },
    };
  };
  /** Hand a record of the open tree in; false where it is not kept, which is said. */
  const handIn = async (made: Check | UnjudgedCheck): Promise<boolean> => {
    bar.shut(WALK.saving);
    const fate = await context.sending.handIn(context.farm.id, { kind: "checks", values: [made] }, { block: block.id, row: made.row, position: made.position });
    if (left) return false;
    if (fate.state !== "refused" && fate.state !== "not-sent") return true;
    draw();
    bar.say(fate.state === "refused" ? CHECKS.refused(fate.problem.message) : CHECKS.notSaved, "bad");
    return false;
  };
  const leaveOut = async (reason: NotJudged): Promise<void> => {
    const { tree } = walk;
    if (tree === null) return;
    const { about, found, stamp: made } = atHand(tree);
    const before = new Set(standing().trees.map(treeKey));
    if (!(await handIn(newUnjudged(about, { ...found, reason }, made)))) return;
    dropPhotos([tree]);
    state = { ...state, not_judged: [...(state.not_judged ?? []), [made.id, tree.row, tree.position, reason, about.day, lot.id]] };
    keep(withoutTree(walk));
    bar.say(unjudgedWords(tree, reason, found.drawn ? (standing().trees.find((one) => !before.has(treeKey(one))) ?? null) : undefined));
    goOn();
  };
  const save = async (verdict: TreeVerdict): Promise<void> => {
    const { tree } = walk;
    if (tree === null) return;
    const { about, found, stamp: made } = atHand(tree);
    const judgedTree = { ...found, verdict, isSecond };
    if (!(await handIn(newCheck(about, list === null ? judgedTree : { ...judgedTree, findings: tree.findings }, made)))) return;
    state = { ...state, checks: [...state.checks, [made.id, tree.row, tree.position, verdict, about.day, null, found.note, found.drawn, lot.id, [], false, isSecond]] };
    keep(withoutTree(walk));
    bar.say(WALK.saved(WALK.place(tree.row, tree.position), TREE_VERDICT[verdict].toLowerCase()), "good");
    goOn();
  };
  const toggleList = (): void => {
    isListed = !isListed;
    draw();
  };
  const openCheck = (): CheckLine | null => {
    const { tree } = walk;
    return tree === null ? null : (standing().trees.find((one) => treeKey(one) === treeKey(tree))?.check ?? null);
  };
  /** A tree is being judged: nothing moves, but what makes that useless is said. */
  const sayNews = (before: CheckLine | null, isThere: boolean): void => {
    drawProgress(standing());
    const [now, { tree }] = [openCheck(), walk];
    if (!isThere) bar.say(WALK.lotGone, "bad");
    else if (tree !== null && now !== null && now[0] !== before?.[0]) bar.say(WALK.meanwhile(WALK.place(tree.row, tree.position), TREE_VERDICT[now[3]].toLowerCase()), "bad");
  };
  const read = async (): Promise<void> => {
    try {
      const [fresh, { lots }] = await Promise.all([context.api.state(block.id, context.farm.today), context.api.lots(block.id)]);
      const before = openCheck();
      state = withChecksOf(fresh, state); // just saved: what was read may be older
      if (left) return;
      given.heard(lots);
      if (walk.tree !== null) return sayNews(before, lots.some(({ id }) => id === lot.id));
      draw();
      void hearVerdict();
    } catch (error) {
      if (!left) bar.say(sentence(error, SHELL.noAnswer), "bad");
    }
  };
  /** The service knows intervals; without a connection the device says what it can. */
  const hearVerdict = async (): Promise<void> => {
    await context.sending.tryAgain().catch(() => 0);
    sentences = await lotSentences(context, lot.id);
    if (!left && walk.tree === null) draw();
  };
  const start = async (): Promise<void> => {
    const { walk: kept, left: gone } = walkOnGround(walkFrom(await context.halfDone.read(slot)), shape.ground ?? null);
    if (left) return;
    dropPhotos(gone);
    const isFar = kept.isFar ?? (kept.last === null && kept.tree === null && beginsAtFarEnd(lot, state.checks, context.deviceId, isSecond));
    keep({ ...kept, isFar, of: { block: block.id, number: lot.number } });
    const { tree } = walk;
    const isKept = tree !== null && context.sending.entries().some(({ id }) => id === tree.checkId);
    if (isKept) keep(withoutTree(walk)); // the page was left between keeping the check and the next tree
    const isThere = walk.tree !== null && standing().trees.some((one) => treeKey(one) === treeKey(walk.tree ?? one));
    if (isThere) draw();
    else showNext();
    const places = gone.filter(isBegun).map((one) => WALK.place(one.row, one.position));
    if (places.length > 0) bar.say(WALK.otherGround(places.join("; ")), "bad");
  };
  fill(root, given.head, line, body);
  void start();
  return {
    cursor: () => state.cursor,
    newer: () => void read(),
    leave() {
      left = true;
    },
  };
}

async function lotSentences({ request }: Context, lotId: string): Promise<readonly string[]> {
  const { qualityApi } = await import("../../data/quality-api");
  return qualityApi(request).lot(lotId).then(({ sentences }) => sentences).catch(() => []);
}
