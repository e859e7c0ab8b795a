/** The lots of a block: the first open one is walked; others, second looks and trees seen while walking are a tap away. */

import type { BriefVersion } from "../../core/brief-contracts";
import { CHECKS } from "../../core/checks-wording";
import { WALK } from "../../core/check-walk-wording";
import type { BlockLots, LotPack } from "../../core/quality-contracts";
import { leftOutOf } from "../../core/stand-ins";
import { addressOf, type Place } from "../../core/place";
import { lotSoFar, walkStanding } from "../../core/walk-standing";
import { lotsToWalk } from "../../core/walks-here";
import { SHELL } from "../../core/wording";
import { fill, h } from "../../ui/dom";
import { briefParts } from "../brief/block-brief";
import type { BlockReading } from "../block-reading";
import { STILL, type Context, type Shown } from "../context";
import { auditorName, withoutOwn } from "./auditor";
import { earlierLots } from "./earlier-lots";
import { showLotWalk } from "./lot-walk";
import { showTreeChecks } from "./tree-checks";

/** A lot that is walked, for the first time or the second. */
interface Walked {
  lot: LotPack;
  isSecond: boolean;
}
/** What is shown: a walk; or no lot, tree by tree as one sees them. */
export type Going = Walked | null;

/** Return the lots of a block; null where neither the service nor this device knows of any. */
export async function blockLots({ api }: Context, block: string): Promise<BlockLots | null> {
  return api.lots(block).catch(() => null);
}

/** Return what to walk: the lot asked for, else the first open one that is not decided, else the first one; null where none is open. */
export function firstToWalk(lots: readonly LotPack[], { state, shape }: BlockReading, today: string, asked: Pick<Place, "lot" | "second">): Going {
  const { open, earlier } = lotsToWalk(lots, today);
  const wanted = lots.find(({ id }) => id === asked.lot);
  if (wanted !== undefined) return { lot: wanted, isSecond: asked.second === true || earlier.includes(wanted) };
  const isOpen = (lot: LotPack): boolean => lotSoFar(lot, state.checks, leftOutOf(lot, state.not_judged ?? [], shape.rows)).verdict === "too_few";
  const lot = open.find(isOpen) ?? open[0];
  return lot === undefined ? null : { lot, isSecond: false };
}

/** Show a block with lots in `root`, beginning with `first`. */
export function showLots(root: HTMLElement, context: Context, given: { reading: BlockReading; seasonId: string; lots: readonly LotPack[]; first: Going }): Shown {
  const { seasonId, first } = given;
  const { today } = context.farm;
  let { reading, lots } = given;
  let shown: Shown = STILL;
  let left = false;
  let asked = 0;
  const go = async (to: Going): Promise<void> => {
    asked += 1;
    const mine = asked;
    shown.leave();
    shown = STILL;
    keepAddress(reading.block.id, to);
    if (to === null) {
      const { open } = lotsToWalk(lots, today);
      const back = open[0] === undefined ? null : { label: WALK.backToWalk, run: () => void go(firstToWalk(lots, reading, today, {})) };
      shown = showTreeChecks(root, context, reading, seasonId, { back, earlier: earlierLots(others(), lookAgain) });
      return;
    }
    fill(root, h("p", {}, SHELL.loading));
    // what was checked since is in it
    const [parts, state] = await Promise.all([
      briefParts(context, reading.block.id).catch(() => null),
      context.api.state(reading.block.id, today).catch(() => reading.state),
    ]);
    if (left || mine !== asked) return;
    reading = { ...reading, state };
    const brief = briefOf(to.lot, parts?.brief ?? reading.brief);
    const own = await context.ground.drawings(digestsOf(brief));
    if (left || mine !== asked) return;
    const drawings = new Map([...own, ...(parts?.drawings ?? [])]);
    const head = h("div", { class: "checks-head" });
    drawHead(head, to);
    let named = auditorName(context);
    const heard = (now: readonly LotPack[]): void => {
      const isNew = now.map(({ id }) => id).join() !== lots.map(({ id }) => id).join() || named !== auditorName(context);
      lots = now;
      named = auditorName(context);
      if (isNew) drawHead(head, to);
    };
    shown = showLotWalk(root, context, { reading, seasonId, ...to, brief, drawings, head, heard });
  };
  /** Earlier lots with a tree that whoever checks here did not judge. */
  const others = (but?: LotPack): LotPack[] =>
    lotsToWalk(lots, today).earlier.filter((lot) => lot.id !== but?.id && walkStanding(withoutOwn(context, lot, reading.state.checks), reading.state.checks, new Map(), true).all > 0);
  const lookAgain = (lot: LotPack): void => void go({ lot, isSecond: true });
  void go(first);
  return {
    cursor: () => shown.cursor(),
    newer: (records) => shown.newer(records),
    leave() {
      left = true;
      shown.leave();
    },
  };

  function button(label: string, run: () => void): HTMLElement {
    return h("button", { type: "button", on: { click: run } }, label);
  }

  function drawHead(box: HTMLElement, { lot, isSecond }: Walked): void {
    const { block } = reading;
    const { open } = lotsToWalk(lots, today);
    const crew = lot.crew_id === null ? WALK.wholeBlock : (context.farm.crews.find(({ id }) => id === lot.crew_id)?.name ?? "");
    const about = [block.variety ?? "", crew, `${CHECKS.auditor}: ${auditorName(context)}`].filter((part) => part !== "").join(" · ");
    const earlier = earlierLots(others(lot), lookAgain);
    const isOpen = open.some(({ id }) => id === lot.id);
    fill(
      box,
      h("div", {}, h("h1", {}, h("span", { class: "block-code" }, block.code), ` ${WALK.lot(lot.number)}${isSecond ? `, ${WALK.secondLook.toLowerCase()}` : ""}`), h("p", {}, about)),
      h(
        "div",
        { class: "checks-ways" },
        ...open.filter(({ id }) => id !== lot.id).map((other) => button(WALK.lot(other.number), () => void go({ lot: other, isSecond: false }))),
        // trees are checked while this stands: whether there is one to look at again is told when it is asked for
        isSecond ? (isOpen ? button(WALK.firstLook, () => void go({ lot, isSecond: false })) : null) : button(WALK.secondLook, () => lookAgain(lot)),
        button(WALK.seenTree, () => void go(null)),
        earlier?.button ?? null,
        button(WALK.otherBlock, () => context.go({ screen: "checks", block: null })),
      ),
      earlier?.box ?? null,
    );
  }
}

/** Have the address name the walk: whoever loads the page again, for another language say, is in it again. */
function keepAddress(block: string, to: Going): void {
  const place: Place = { screen: "checks", block };
  history.replaceState(null, "", addressOf(to === null ? place : { ...place, lot: to.lot.id, second: to.isSecond }));
}

/** Return what a lot's trees are judged by: its own version, or the block's where that is the same one. */
function briefOf(lot: LotPack, ofBlock: BriefVersion | null): BriefVersion | null {
  if (lot.brief !== null || lot.brief_id === null) return lot.brief;
  return ofBlock?.brief_id === lot.brief_id && ofBlock.version === lot.brief_version ? ofBlock : null;
}

function digestsOf(brief: BriefVersion | null): string[] {
  return Object.values(brief?.texts ?? {}).flatMap(({ pictures }) => pictures).filter((digest) => digest !== "");
}
