/** Handing in marks and withdrawals, and saying in words what became of them. */

import type { Mark, Method, Receipt, Withdrawal } from "../../core/contracts";
import { rowsOf, type StandingMark } from "../../core/block-marks";
import type { Stretch } from "../../core/coverage";
import { newMark, newWithdrawal, type Ground } from "../../core/records";
import { AGAIN } from "../../core/returns-wording";
import { ROWS } from "../../core/rows-wording";
import { numbersText } from "../../core/several-rows";
import type { Fate, Parcel } from "../../data/sending";
import type { Tone } from "../../ui/notice";
import { recorderId, stamp, type Context } from "../context";
import type { Work } from "./block-rows";

/** What of a row is to be marked. */
export interface Part {
  row: number;
  stretches: readonly Stretch[];
  /** The return that asked for it to be gone over again. */
  returnId?: string;
}
/** What became of one touch. */
export interface Done {
  rows: number[];
  text: string;
  tone: Tone;
  /** Whether it is safe: on this device's disk, or with the service. */
  safe: boolean;
  /** Marks that no longer stand because of it. */
  withdrawn: readonly StandingMark[];
}
export interface Marking {
  mark(parts: readonly Part[]): Promise<Done>;
  takeBack(block: string, marks: readonly StandingMark[]): Promise<Done>;
  /** Send a parcel again that is on this page only. */
  again(parcel: Parcel): Promise<Done>;
}

function plain(rows: number[], text: string, tone: Tone, safe: boolean): Done {
  return { rows, text, tone, safe, withdrawn: [] };
}

/** Return what is to be said of records that count for nothing yet; null when they are safe and taken. */
function trouble(rows: number[], fate: Fate): Done | null {
  const row = rows[0] ?? 0;
  if (fate.state === "refused") return plain(rows, ROWS.refused(fate.problem.message), "bad", false);
  if (fate.state === "not-sent") return plain(rows, ROWS.notSaved(row), "bad", false);
  const aside = fate.state === "answered" ? asideOf(fate.receipts) : undefined;
  return aside === undefined ? null : plain(rows, ROWS.setAside(row, aside.reason), "bad", true);
}

function asideOf(receipts: readonly Receipt[]): Receipt | undefined {
  return receipts.find((receipt) => receipt.outcome === "set_aside");
}

/** Return the things that can be done to rows. `trees` counts the trees of a stretch. */
export function markingOf(
  context: Context,
  { crew, seasonId }: Work,
  shape: { block: string; ground?: Ground; trees(row: number, stretch: Stretch): number },
  entered: () => { day: string; method: Method },
): Marking {
  const { block, ground } = shape;
  const { farm, sending, deviceId } = context;
  const known = new Map<string, StandingMark>();
  const by = () => ({ deviceId, recorderId: recorderId(context) });
  const marked = (values: readonly Mark[], fate: Fate): Done => {
    const rows = rowsOf(values);
    const not = trouble(rows, fate);
    if (not !== null) return not;
    const trees = values.reduce((sum, value) => sum + shape.trees(value.row, value), 0);
    const [only = 0, ...more] = rows;
    const parts = values.map(({ first, last }) => ROWS.part(first, last)).join(", ");
    if (values.some(({ return_id }) => return_id !== undefined)) return plain(rows, AGAIN.marked(only, parts, trees), "good", true);
    const text = more.length === 0 ? ROWS.marked(only, parts, trees) : ROWS.markedRows(numbersText(rows), trees);
    return plain(rows, text, "good", true);
  };
  const withdrawn = (values: readonly Withdrawal[], fate: Fate): Done => {
    const gone = values.flatMap(({ mark_id }) => known.get(mark_id) ?? []);
    const rows = rowsOf(gone);
    const not = trouble(rows, fate);
    if (not !== null) return not;
    const text = rows.length === 1 ? ROWS.undone(rows[0] ?? 0) : ROWS.undoneRows(numbersText(rows));
    return { ...plain(rows, text, "good", true), withdrawn: gone };
  };
  return {
    async mark(parts) {
      const [begin] = parts;
      if (crew === null || begin === undefined) throw new Error("Without a crew or a row nothing is marked.");
      const about = { seasonId, blockId: block, crewId: crew.id, ...by(), ...entered(), ground };
      // one moment for all of one touch: they are taken back together, also after a restart
      const { at } = stamp();
      const values = parts.flatMap(({ row, stretches, returnId }) =>
        stretches.map((stretch) => newMark(about, row, stretch, { id: stamp().id, at }, returnId)),
      );
      return marked(values, await sending.handIn(farm.id, { kind: "marks", values }, { block, row: begin.row }));
    },
    async takeBack(of, marks) {
      for (const mark of marks) known.set(mark.id, mark);
      const values = marks.map(({ id }) => newWithdrawal(id, by(), stamp()));
      const subject = { block: of, row: marks[0]?.row ?? 0 };
      return withdrawn(values, await sending.handIn(farm.id, { kind: "withdrawals", values }, subject));
    },
    async again(parcel) {
      const { records } = parcel;
      const fate = await sending.again(parcel);
      if (records.kind === "marks") return marked(records.values, fate);
      return withdrawn(records.kind === "withdrawals" ? records.values : [], fate);
    },
  };
}
