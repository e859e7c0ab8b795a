/** Handing in marks and withdrawals, and saying in words what became of them. */

import type { KeptMark, Mark, Method, Receipt, Withdrawal } from "../../core/contracts";
import type { Stretch } from "../../core/coverage";
import { newMark, newWithdrawal } from "../../core/records";
import { ROWS } from "../../core/wording";
import type { Fate, Parcel } from "../../data/sending";
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
  marks: Claim[];
  /** Marks that no longer stand because of it. */
  withdrawn: Claim[];
}
/** A mark by its id, and the positions it claims. */
export type Claim = Pick<KeptMark, "id" | "first" | "last">;
export interface Marking {
  mark(row: number, stretches: readonly Stretch[]): Promise<Done>;
  takeBack(claims: readonly Claim[], row: number): Promise<Done>;
  /** Send a parcel again that could not be sent. */
  again(parcel: Parcel): Promise<Done>;
}

/** Return the end of a tap that left nothing to take back. */
function plain(row: number, text: string, tone: Tone, answered: boolean): Done {
  return { row, text, tone, answered, marks: [], withdrawn: [] };
}

/** Return the end of a tap that the service did not take. */
function notTaken(row: number, fate: Exclude<Fate, { state: "answered" | "kept" }>): Done {
  return plain(row, fate.state === "refused" ? ROWS.refused(fate.problem.message) : ROWS.notSaved(row), "bad", false);
}

function asideOf(receipts: readonly Receipt[]): Receipt | undefined {
  return receipts.find((receipt) => receipt.outcome === "set_aside");
}

/** Return the things that can be done to a row. */
export function markingOf(
  { farm, sending, deviceId }: Context,
  { crew, seasonId }: Work,
  shape: { block: string; trees(row: number, stretch: Stretch): number },
  entered: () => { day: string; method: Method },
): Marking {
  const { block } = shape;
  const claimsOf = new Map<string, Claim>();
  const marked = (row: number, values: readonly Mark[], fate: Fate): Done => {
    if (fate.state !== "answered" && fate.state !== "kept") return notTaken(row, fate);
    const aside = fate.state === "kept" ? undefined : asideOf(fate.receipts);
    if (aside) return plain(row, ROWS.setAside(row, aside.reason), "bad", true);
    const parts = values.map(({ first, last }) => ROWS.part(first, last)).join(", ");
    const trees = values.reduce((sum, stretch) => sum + shape.trees(row, stretch), 0);
    return { ...plain(row, ROWS.marked(row, parts, trees), "good", true), marks: [...values] };
  };
  const withdrawn = (row: number, values: readonly Withdrawal[], fate: Fate): Done => {
    if (fate.state !== "answered" && fate.state !== "kept") return notTaken(row, fate);
    const aside = fate.state === "kept" ? undefined : asideOf(fate.receipts);
    if (aside) return plain(row, ROWS.setAside(row, aside.reason), "bad", true);
    const claims = values.flatMap((value) => claimsOf.get(value.mark_id) ?? []);
    return { ...plain(row, ROWS.undone(row), "good", true), withdrawn: claims };
  };
  return {
    async mark(row, stretches) {
      if (crew === null) throw new Error("Without a crew nothing is marked.");
      const context = { seasonId, blockId: block, crewId: crew.id, deviceId, ...entered() };
      const values = stretches.map((stretch) => newMark(context, row, stretch, stamp()));
      return marked(row, values, await sending.handIn(farm.id, { kind: "marks", values }, { block, row }));
    },
    async takeBack(claims, row) {
      for (const claim of claims) claimsOf.set(claim.id, claim);
      const values = claims.map(({ id }) => newWithdrawal(id, deviceId, stamp()));
      return withdrawn(row, values, await sending.handIn(farm.id, { kind: "withdrawals", values }, { block, row }));
    },
    async again(parcel) {
      const { records, subject } = parcel;
      const fate = await sending.again(parcel);
      if (records.kind === "marks") return marked(subject.row, records.values, fate);
      return withdrawn(subject.row, records.kind === "withdrawals" ? records.values : [], fate);
    },
  };
}
