/**
 * Sending what waits: one sender over all tabs, one upload after the other, on five triggers and a timer.
 *
 * A record is done when an acknowledgement names its id. Everything else - no answer, a lost answer, trouble, a way in
 * that has ended - leaves it waiting. What the service will never take is kept too, and shown.
 */

import { courseAfter, type Hindrance } from "../core/course";
import {
  acknowledged,
  BATCH,
  namedIndices,
  nextBatch,
  offeredAgain,
  receiptsIn,
  refused,
  rolledBack,
  SMALL_BATCH,
  waitMs,
  type Batch,
  type Entry,
} from "../core/outbox";
import type { Api, Records } from "./api";
import type { Outbox } from "./outbox";
import { NoAnswer, Problem, sentence } from "./request";
import type { Tabs } from "./tabs";

export interface Standing {
  busy: boolean;
  /** Why nothing goes at the moment. */
  because: Hindrance | null;
  /** This device's clock minus the service's, in seconds, as of the last answer that told. */
  skew_s: number | null;
}
export interface Sync {
  /** Send what waits, unless the service asked to wait; the promise ends when nothing more can go now. */
  kick(): Promise<void>;
  standing(): Standing;
  /** An answer named the service's epoch; what was acknowledged under another one is offered again. */
  heardEpoch(epoch: string): Promise<void>;
}
export interface SyncTools {
  api: Pick<Api, "handIn">;
  outbox: Outbox;
  tabs: Tabs;
  now(): number;
  random(): number;
  /** Call `run` once after `ms`; a later call takes the place of an earlier one. */
  later(run: () => void, ms: number): void;
  changed(): void;
}

/** Return the sender. */
export function syncOf(tools: SyncTools): Sync {
  const { api, outbox, tabs, now } = tools;
  const standing: Standing = { busy: false, because: null, skew_s: null };
  let running: Promise<void> | null = null;
  let again = false;
  let failures = 0;
  /** The service asked not to be tried for so long, from then on. */
  let pause = { from: 0, ms: 0 };
  /** Uploads are cut smaller while a bad record hides in one, and where no answer comes to larger ones. */
  let most = BATCH;
  /** Farms that this device may not send for: they hold up no other. */
  let shut = new Set<string>();

  const heardEpoch = async (epoch: string): Promise<void> => {
    const offered = offeredAgain(outbox.entries(), epoch);
    if (offered.length === 0) return;
    await outbox.change(offered);
    tabs.tell("outbox");
  };

  const wait = (because: Hindrance, after_s: number | null): void => {
    failures += 1;
    standing.because = because;
    const ms = waitMs(failures, tools.random(), after_s);
    // only what the service asked for is binding; otherwise a trigger may try at once
    pause = { from: now(), ms: after_s === null ? 0 : ms };
    tools.later(() => void kick(), ms);
  };

  /** Find bad records: those named, else by halves. */
  const sift = async ({ entries, kind }: Batch, problem: Problem): Promise<void> => {
    const named = namedIndices(problem.fields.map(({ where }) => where), kind, entries.length);
    const bad: Entry[] = entries.flatMap((entry, index) => {
      const place = named.get(index);
      return place === undefined ? [] : [refused(entry, problem.fields[place]?.what ?? problem.message)];
    });
    const [only] = entries;
    if (bad.length === 0 && entries.length === 1 && only !== undefined) bad.push(refused(only, sentence(problem, "")));
    if (bad.length > 0) await outbox.change(bad);
    most = bad.length > 0 ? BATCH : Math.ceil(entries.length / 2);
  };

  /** Send one upload; tells whether to go on. */
  const send = async (batch: Batch): Promise<boolean> => {
    const sentAt = now();
    try {
      const values = batch.entries.map(({ record }) => record);
      const records = { kind: batch.kind, values, schema: batch.schema } as Records;
      const answer = receiptsIn(await api.handIn(batch.farmId, records, new Date(sentAt).toISOString()));
      if (answer === null) throw new NoAnswer("The answer is not one of the service's.");
      const { outcomes, cursor, epoch, server_at = null } = answer;
      const heard = { at: new Date(now()).toISOString(), server_at, cursor, epoch };
      const done = acknowledged(batch.entries, outcomes, heard);
      if (done.length === 0) {
        // an answer that names none of them is believed in nothing, and would be asked for for ever
        wait("trouble", null);
        return false;
      }
      // half-way between asking and hearing: what the way took is in neither clock
      if (server_at !== null) standing.skew_s = ((sentAt + now()) / 2 - Date.parse(server_at)) / 1_000;
      // what a put-back database has lost is offered again in the transaction that keeps where that one stands
      const kept = outbox.entries();
      await outbox.change([...rolledBack(kept, batch.farmId, heard), ...offeredAgain(kept, epoch), ...done]);
      await outbox.forget(batch.farmId, heard);
      failures = 0;
      if (shut.size === 0) standing.because = null;
      most = Math.min(BATCH, most + SMALL_BATCH);
      return true;
    } catch (error) {
      if (!(error instanceof Problem) && !(error instanceof NoAnswer)) {
        console.error(error); // a fault of this page: nothing is known, so it is sent again
        wait("trouble", null);
        return false;
      }
      const course = courseAfter(error instanceof Problem ? error : null);
      if (course.do === "sift") {
        await sift(batch, error as Problem);
        return true;
      }
      if (error instanceof NoAnswer) most = Math.min(most, Math.max(SMALL_BATCH, Math.ceil(most / 2)));
      wait(course.because, course.after_s);
      if (course.because === "not_allowed") shut.add(batch.farmId);
      return course.because === "not_allowed";
    } finally {
      tools.changed();
    }
  };

  const drain = async (): Promise<void> => {
    await outbox.reload();
    shut = new Set();
    for (let goOn = true; goOn; ) {
      const batch = nextBatch(outbox.entries().filter(({ farmId }) => !shut.has(farmId)), most);
      if (batch === null) break;
      goOn = await send(batch);
    }
    tabs.tell("outbox");
  };
  const run = async (): Promise<void> => {
    standing.busy = true;
    tools.changed();
    try {
      do {
        again = false;
        const ran = await tabs.alone(drain);
        // another tab is at it; should it die, this one looks again
        if (!ran) tools.later(() => void kick(), waitMs(3, tools.random()));
      } while (again && standing.because === null);
    } finally {
      standing.busy = false;
      running = null;
      tools.changed();
    }
  };
  const kick = async (): Promise<void> => {
    const waited = now() - pause.from;
    // below nothing: the clock was set back, and the pause it was measured by is over
    if (waited >= 0 && waited < pause.ms) return;
    again = true;
    running ??= run();
    return running;
  };
  return { kick, standing: () => standing, heardEpoch };
}
