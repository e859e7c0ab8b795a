/** Handing in marks and withdrawals, and saying in words what became of them. */

import type { Method, Receipt } from "../../core/contracts";
import type { Stretch } from "../../core/coverage";
import { newMark, newWithdrawal } from "../../core/records";
import { ROWS } from "../../core/wording";
import type { Fate } from "../../data/sending";
import type { Tone } from "../../ui/notice";
import { stamp, type Context } from "../context";
import type { Work } from "./block-rows";

/** What became of one tap. */
export interface Done {
  row: number;
  text: string;
  tone: Tone;
  answered: boolean;
  /** Marks that stand because of it and can be taken back. */
  markIds: string[];
}
export interface Marking {
  mark(row: number, stretches: readonly Stretch[]): Promise<Done>;
  takeBack(markIds: readonly string[], row: number): Promise<Done>;
}

/** Return the end of a tap that the service did not take. */
function notTaken(row: number, fate: Exclude<Fate, { state: "answered" }>): Done {
  const text = fate.state === "refused" ? ROWS.refused(fate.problem.message) : ROWS.notSaved(row);
  return { row, text, tone: "bad", answered: false, markIds: [] };
}

function asideOf(receipts: readonly Receipt[]): Receipt | undefined {
  return receipts.find((receipt) => receipt.outcome === "set_aside");
}

/** Return the two things that can be done to a row. */
export function markingOf(
  { farm, sending, deviceId }: Context,
  { crew, seasonId }: Work,
  blockId: string,
  entered: () => { day: string; method: Method },
): Marking {
  return {
    async mark(row, stretches) {
      const context = { seasonId, blockId, crewId: crew.id, deviceId, ...entered() };
      const values = stretches.map((stretch) => newMark(context, row, stretch, stamp()));
      const fate = await sending.handIn(farm.id, { kind: "marks", values });
      if (fate.state !== "answered") return notTaken(row, fate);
      const aside = asideOf(fate.receipts);
      if (aside) {
        return { row, text: ROWS.setAside(row, aside.reason), tone: "bad", answered: true, markIds: [] };
      }
      const parts = stretches.map(({ first, last }) => ROWS.part(first, last)).join(", ");
      const markIds = values.map((mark) => mark.id);
      return { row, text: ROWS.marked(row, parts), tone: "good", answered: true, markIds };
    },
    async takeBack(markIds, row) {
      const values = markIds.map((id) => newWithdrawal(id, deviceId, stamp()));
      const fate = await sending.handIn(farm.id, { kind: "withdrawals", values });
      if (fate.state !== "answered") return notTaken(row, fate);
      const aside = asideOf(fate.receipts);
      const text = aside ? ROWS.setAside(row, aside.reason) : ROWS.undone(row);
      return { row, text, tone: aside ? "bad" : "good", answered: true, markIds: [] };
    },
  };
}
