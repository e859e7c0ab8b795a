/**
 * From a record made on this device to the service's receipt for it.
 *
 * A record counts as saved only when a receipt names its id. Until the outbox that survives a reload is built, what
 * could not be sent stays in this page's memory, is shown as not saved, and is sent again with the same ids.
 */

import type { Receipt } from "../core/contracts";
import type { Api, Records } from "./api";
import { NoAnswer, Problem } from "./request";

export type Fate =
  | { state: "answered"; receipts: Receipt[] }
  | { state: "not-sent" }
  | { state: "refused"; problem: Problem };

/** What on the screen the records are about: a row, or one position of it. */
export interface Subject {
  block: string;
  row: number;
  position?: number;
}

export interface Parcel {
  farmId: string;
  subject: Subject;
  records: Records;
  fate: Fate | { state: "sending" };
}

export interface Sending {
  /** Send records; the promise tells what became of them. */
  handIn(farmId: string, records: Records, subject: Subject): Promise<Fate>;
  /** Send one parcel again, with the same ids. */
  again(parcel: Parcel): Promise<Fate>;
  /** Send again everything that could not be sent; the promise tells how many records were saved. */
  tryAgain(): Promise<number>;
  /** What of a block is under way or could not be sent, oldest first. */
  waitingFor(block: string): readonly Parcel[];
  /** What no receipt names yet. */
  unsaved(): readonly Parcel[];
  /** Forget what the service refused, after it was read. */
  forgetRefused(): void;
}

function isReceiptFor(records: Records, receipts: readonly Receipt[]): boolean {
  const named = new Set(receipts.map((receipt) => receipt.id));
  return records.values.every((value) => named.has(value.id));
}

/** Return the sender. `changed` is called whenever what is unsaved changes. */
export function sendingOf(api: Pick<Api, "handIn">, now: () => Date, changed: () => void): Sending {
  let parcels: Parcel[] = [];
  const send = async (parcel: Parcel): Promise<Fate> => {
    parcel.fate = { state: "sending" };
    changed();
    const fate = await fateOf(parcel);
    parcel.fate = fate;
    if (fate.state === "answered") parcels = parcels.filter((one) => one !== parcel);
    changed();
    return fate;
  };
  const fateOf = async ({ farmId, records }: Parcel): Promise<Fate> => {
    try {
      const { outcomes } = await api.handIn(farmId, records, now().toISOString());
      return isReceiptFor(records, outcomes) ? { state: "answered", receipts: outcomes } : { state: "not-sent" };
    } catch (error) {
      // the service's own trouble (5xx) may pass, a refusal (4xx) will not
      if (error instanceof Problem && error.status < 500) return { state: "refused", problem: error };
      if (error instanceof Problem || error instanceof NoAnswer) return { state: "not-sent" };
      throw error;
    }
  };
  return {
    handIn(farmId, records, subject) {
      const parcel: Parcel = { farmId, subject, records, fate: { state: "sending" } };
      parcels = [...parcels, parcel];
      return send(parcel);
    },
    again: send,
    async tryAgain() {
      let saved = 0;
      for (const parcel of parcels) {
        if (parcel.fate.state !== "not-sent") continue;
        if ((await send(parcel)).state === "answered") saved += parcel.records.values.length;
      }
      return saved;
    },
    waitingFor: (block) => parcels.filter(({ subject, fate }) => subject.block === block && fate.state !== "refused"),
    unsaved: () => parcels,
    forgetRefused() {
      parcels = parcels.filter((parcel) => parcel.fate.state !== "refused");
      changed();
    },
  };
}
