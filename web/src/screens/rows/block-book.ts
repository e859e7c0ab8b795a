/** What of a block is known here: the service's log, with this device's own records over it. */

import type { BlockLog, BlockShape, Run, ShapeRow } from "../../core/contracts";
import { againRuns, waitingReturns, type WaitingReturn } from "../../core/again";
import { standingAnswers, standingMarks, type StandingMark } from "../../core/block-marks";
import { runsOfRow } from "../../core/coverage";
import { blockRuns, isHeld, statedRuns, type StatedRun } from "../../core/merge";
import { pendingRecords, positionsOf } from "../../core/own-records";
import type { Entry } from "../../core/outbox";
import { isOnGround } from "../../core/records";
import { speaksFor, type Context } from "../context";

export interface BlockBook {
  rowOf(n: number): ShapeRow | undefined;
  runs(): readonly Run[];
  runsOf(row: number): readonly Run[];
  /** The place of a crew in the runs; -1 for none. */
  crewIndex(id: string | null): number;
  standing(): readonly StandingMark[];
  /** Marks that stand and answer returns. */
  answers(): readonly StandingMark[];
  /** Returns of which something is open. */
  waitingReturns(): readonly WaitingReturn[];
  /** What two crews claim and nobody has settled, or has to settle anew. */
  held(): readonly StatedRun[];
  /** Rows with a record that only this device has. */
  waiting(): ReadonlySet<number>;
  cursor(): number;
  /** The rows are others by now than those that are shown. */
  isOtherShape(): boolean;
  /** Put this device's records over the log again; nothing is asked. */
  fold(): void;
  /** Read the log anew. */
  read(): Promise<void>;
}

/** Return the book of a block over its first log. */
export function blockBook(context: Context, shape: BlockShape, begin: BlockLog): BlockBook {
  const { api, sending } = context;
  const positions = positionsOf(shape.rows);
  const rowOf = new Map(shape.rows.map((row) => [row.n, row]));
  const crew = speaksFor(context);
  let log = begin;
  let asked = 0;
  let drawn = 0;
  let runs: Run[] = [];
  let held: StatedRun[] = [];
  let standing: StandingMark[] = [];
  let answers: StandingMark[] = [];
  let returns: WaitingReturn[] = [];
  let waiting = new Set<number>();

  const rowOfEntry = ({ record, subject }: Entry): number => ("row" in record ? record.row : subject.row);
  const fold = (): void => {
    // what was recorded on rows as they were before is not drawn on those of today
    const entries = sending.pendingFor(shape.id, log).filter(({ record }) => isOnGround(record, shape.ground));
    const pending = pendingRecords(entries, crew);
    returns = waitingReturns(log, shape.rows, pending);
    runs = againRuns(blockRuns(log, positions, pending), returns);
    held = statedRuns(log, positions, pending).filter(({ status }) => isHeld(status));
    standing = standingMarks(log, entries, crew);
    answers = standingAnswers(log, entries, crew);
    waiting = new Set(entries.filter(({ state, kind }) => state === "waiting" && (kind === "marks" || kind === "withdrawals")).map(rowOfEntry));
  };
  fold();
  return {
    rowOf: (n) => rowOf.get(n),
    runs: () => runs,
    runsOf: (row) => runsOfRow(runs, row),
    crewIndex: (id) => log.crews.findIndex((one) => one.id === id),
    standing: () => standing,
    answers: () => answers,
    waitingReturns: () => returns,
    held: () => held,
    waiting: () => waiting,
    cursor: () => log.cursor,
    isOtherShape: () => log.shape_version !== undefined && log.shape_version !== shape.version,
    fold,
    async read() {
      asked += 1;
      const mine = asked;
      const fresh = await api.log(shape.id);
      // a later reading is drawn already, or this one is the device's copy and older than what is shown
      if (mine < drawn || (fresh.epoch === log.epoch && fresh.cursor < log.cursor)) return;
      drawn = mine;
      log = fresh;
      fold();
    },
  };
}
