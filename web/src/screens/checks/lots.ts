/** The lots of a block that are open: the first one is walked; others, second looks and trees seen while walking are a tap away. */

import type { BriefVersion } from "../../core/brief-contracts";
import { CHECKS } from "../../core/checks-wording";
import { WALK } from "../../core/check-walk-wording";
import type { LotPack } from "../../core/quality-contracts";
import { leftOutOf } from "../../core/stand-ins";
import { lotSoFar } from "../../core/walk-standing";
import { fill, h } from "../../ui/dom";
import { briefParts } from "../brief/block-brief";
import type { BlockReading } from "../block-reading";
import { STILL, type Context, type Shown } from "../context";
import { auditorName } from "./auditor";
import { showLotWalk } from "./lot-walk";
import { showTreeChecks } from "./tree-checks";

/** What is walked: a lot, for the first time or the second; or no lot, tree by tree as one sees them. */
type Going = { lot: LotPack; isSecond: boolean } | null;

/** Return the open lots of a block; none where neither the service nor this device knows of any. */
export async function openLots({ api }: Context, block: string): Promise<LotPack[]> {
  return api.lots(block).then(({ lots }) => lots).catch(() => []);
}

/** Return the lot to walk: the one asked for, else the first that is not decided, else the first. */
export function lotToWalk(lots: readonly LotPack[], { state, shape }: BlockReading, asked: string | undefined): LotPack | undefined {
  const isOpen = (lot: LotPack): boolean => lotSoFar(lot, state.checks, leftOutOf(lot, state.not_judged ?? [], shape.rows)).verdict === "too_few";
  return lots.find(({ id }) => id === asked) ?? lots.find(isOpen) ?? lots[0];
}

/** Show a block with lots in `root`. */
export function showLots(root: HTMLElement, context: Context, given: { reading: BlockReading; seasonId: string; lots: readonly LotPack[]; first: LotPack }): Shown {
  const { seasonId, lots, first } = given;
  let { reading } = given;
  let shown: Shown = STILL;
  let left = false;
  const go = async (to: Going): Promise<void> => {
    shown.leave();
    shown = STILL;
    if (to === null) {
      shown = showTreeChecks(root, context, reading, seasonId, { label: WALK.backToWalk, run: () => void go({ lot: first, isSecond: false }) });
      return;
    }
    // what was checked since is in it
    const [parts, state] = await Promise.all([
      briefParts(context, reading.block.id).catch(() => null),
      context.api.state(reading.block.id, context.farm.today).catch(() => reading.state),
    ]);
    if (left) return;
    reading = { ...reading, state };
    const brief = briefOf(to.lot, parts?.brief ?? reading.brief);
    const own = await context.ground.drawings(digestsOf(brief));
    if (left) return;
    const drawings = new Map([...own, ...(parts?.drawings ?? [])]);
    shown = showLotWalk(root, context, { reading, seasonId, ...to, brief, drawings, head: head(context, reading, to, (other) => void go(other)) });
  };
  fill(root);
  void go({ lot: first, isSecond: false });
  return {
    cursor: () => shown.cursor(),
    newer: (records) => shown.newer(records),
    leave() {
      left = true;
      shown.leave();
    },
  };

  function head(of: Context, { block }: BlockReading, now: { lot: LotPack; isSecond: boolean }, to: (going: Going) => void): HTMLElement {
    const { lot, isSecond } = now;
    const crew = lot.crew_id === null ? WALK.wholeBlock : (of.farm.crews.find(({ id }) => id === lot.crew_id)?.name ?? "");
    const about = [block.variety ?? "", crew, `${CHECKS.auditor}: ${auditorName(of)}`].filter((part) => part !== "").join(" · ");
    const button = (label: string, run: () => void): HTMLElement => h("button", { type: "button", on: { click: run } }, label);
    return h(
      "div",
      { class: "checks-head" },
      h("div", {}, h("h1", {}, h("span", { class: "block-code" }, block.code), ` ${WALK.lot(lot.number)}${isSecond ? `, ${WALK.secondLook.toLowerCase()}` : ""}`), h("p", {}, about)),
      h(
        "div",
        { class: "checks-ways" },
        ...lots.filter(({ id }) => id !== lot.id).map((other) => button(WALK.lot(other.number), () => to({ lot: other, isSecond: false }))),
        // trees are checked while this stands: whether there is one to look at again is told when it is asked for
        isSecond ? button(WALK.firstLook, () => to({ lot, isSecond: false })) : button(WALK.secondLook, () => to({ lot, isSecond: true })),
        button(WALK.seenTree, () => to(null)),
        button(WALK.otherBlock, () => of.go({ screen: "checks", block: null })),
      ),
    );
  }
}

/** Return what a lot's trees are judged by: its own version, or the block's where that is the same one. */
function briefOf(lot: LotPack, ofBlock: BriefVersion | null): BriefVersion | null {
  if (lot.brief !== null || lot.brief_id === null) return lot.brief;
  return ofBlock?.brief_id === lot.brief_id && ofBlock.version === lot.brief_version ? ofBlock : null;
}

function digestsOf(brief: BriefVersion | null): string[] {
  return Object.values(brief?.texts ?? {}).flatMap(({ pictures }) => pictures).filter((digest) => digest !== "");
}
