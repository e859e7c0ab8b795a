/**
 * From a record made on this device to the service's receipt for it.
 *
 * Outbox first: handing in ends when the record is on this device's disk (`kept`). What the service says to it comes
 * later, to those who listen. Where the disk refuses, handing in waits for the service, and what it did not
 * acknowledge is said to be not safe.
 */

import type { Receipt } from "../core/contracts";
import { notInLog, WIRE_SCHEMA, type Entry, type ReadUpTo, type Subject } from "../core/outbox";
import type { Records } from "./api";
import type { Outbox } from "./outbox";
import type { Sync } from "./sync";

export type { Subject } from "../core/outbox";

export type Fate =
  /** On this device's disk; it goes to the service by itself. */
  | { state: "kept" }
  | { state: "answered"; receipts: Receipt[] }
  /** In this page's memory only. */
  | { state: "not-sent" }
  | { state: "refused"; problem: { message: string } };

/** Records that are not safe yet, as they were handed in. */
export interface Parcel {
  farmId: string;
  subject: Subject;
  records: Records;
  fate: Fate | { state: "sending" };
}

export interface Sending {
  /** Keep records and send them; the promise tells what became of them. */
  handIn(farmId: string, records: Records, subject: Subject): Promise<Fate>;
  /** Try again to send everything; the promise tells how many records were acknowledged meanwhile. */
  tryAgain(): Promise<number>;
  /** Send one parcel that is not safe again, with the same ids. */
  again(parcel: Parcel): Promise<Fate>;
  /** What of a block is on its way to the disk, or is not safe, oldest first. */
  waitingFor(block: string): readonly Parcel[];
  /** Every record of this device of the last 14 days, oldest first. */
  entries(): readonly Entry[];
  /** What of a block that which was read of it does not hold yet: waiting, or acknowledged since. */
  pendingFor(block: string, read: ReadUpTo): readonly Entry[];
  isSafe(id: string): boolean;
  /** How many records are in this page's memory only. */
  unsafe(): number;
  /** Called whenever a record was added, or something became of one. Returns the way to stop it. */
  listen(changed: () => void): () => void;
}

/** Return the sender over the outbox. */
export function sendingOf(outbox: Outbox, sync: Pick<Sync, "kick" | "standing">, now: () => Date, told: () => void): Sending {
  let parcels: Parcel[] = [];
  const listeners = new Set<() => void>();
  const stateOf = (id: string): Entry | undefined => outbox.entries().find((entry) => entry.id === id);

  const entriesOf = ({ farmId, subject, records }: Parcel): Entry[] => {
    const { skew_s } = sync.standing().known ?? {};
    return records.values.map((record) => ({
      id: record.id,
      kind: records.kind,
      farmId,
      subject,
      record,
      schema: records.schema ?? WIRE_SCHEMA,
      made_at: now().toISOString(),
      state: "waiting",
      reason: "",
      acked_at: null,
      acked_cursor: null,
      epoch: null,
      ...(skew_s === undefined ? {} : { skew_s }),
    }));
  };
  /** What the service said to a parcel, as the outbox has it. */
  const fateOf = ({ records }: Parcel): Fate => {
    const said = records.values.map(({ id }) => stateOf(id));
    const refused = said.find((entry) => entry?.state === "refused");
    if (refused !== undefined) return { state: "refused", problem: { message: refused.reason } };
    if (said.every((entry) => entry !== undefined && entry.acked_at !== null)) {
      const receipt = ({ id, state, reason }: Entry): Receipt => ({ id, outcome: state === "set_aside" ? state : "taken", reason });
      return { state: "answered", receipts: said.flatMap((entry) => (entry === undefined ? [] : receipt(entry))) };
    }
    return records.values.every(({ id }) => outbox.isSafe(id)) ? { state: "kept" } : { state: "not-sent" };
  };
  const settle = (): void => {
    for (const parcel of parcels) if (parcel.fate.state === "not-sent") parcel.fate = fateOf(parcel);
    parcels = parcels.filter(({ fate }) => fate.state === "sending" || fate.state === "not-sent");
  };
  outbox.listen(() => {
    settle();
    listeners.forEach((listener) => listener());
    told();
  });
  const sendNow = async (parcel: Parcel): Promise<Fate> => {
    await sync.kick();
    const fate = fateOf(parcel);
    parcel.fate = fate;
    settle();
    told();
    return fate;
  };
  return {
    async handIn(farmId, records, subject) {
      const parcel: Parcel = { farmId, subject, records, fate: { state: "sending" } };
      parcels = [...parcels, parcel];
      const kept = await outbox.add(entriesOf(parcel));
      if (!kept) return sendNow(parcel);
      parcels = parcels.filter((one) => one !== parcel);
      void sync.kick();
      told();
      return { state: "kept" };
    },
    again: (parcel) => sendNow(parcel),
    async tryAgain() {
      const before = outbox.entries().filter(({ state }) => state === "waiting");
      await sync.kick();
      return before.filter(({ id }) => (stateOf(id)?.acked_at ?? null) !== null).length;
    },
    waitingFor(block) {
      settle();
      return parcels.filter(({ subject }) => subject.block === block);
    },
    entries: () => outbox.entries(),
    pendingFor: (block, read) => notInLog(outbox.entries(), block, read),
    isSafe: (id) => outbox.isSafe(id),
    unsafe: () => outbox.entries().filter(({ id }) => !outbox.isSafe(id)).length,
    listen(changed) {
      listeners.add(changed);
      return () => listeners.delete(changed);
    },
  };
}
