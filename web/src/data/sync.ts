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
  type Heard,
} from "../core/outbox";
import { skewOf } from "../core/skew";
import { stumblesOf } from "../core/stumbles";
import type { Api, Records } from "./api";
import { clockOf, type ClockStanding, type ClockTools } from "./clock";
import type { Outbox } from "./outbox";
import { NoAnswer, Problem, sentence } from "./request";
import type { Tabs } from "./tabs";

interface Going {
  busy: boolean;
  /** Why nothing goes at the moment. */
  because: Hindrance | null;
}
export type Standing = Going & ClockStanding;
export interface Sync {
  /** Send what waits, unless the service asked to wait; the promise ends when nothing more can go now. */
  kick(): Promise<void>;
  standing(): Standing;
  /** An answer named the service's epoch; what was acknowledged under another one is offered again. */
  heardEpoch(epoch: string): Promise<void>;
}
export interface SyncTools extends ClockTools {
  api: Pick<Api, "handIn" | "changes">;
  outbox: Outbox;
  tabs: Tabs;
  random(): number;
  /** Call `run` once after `ms`; a later call takes the place of an earlier one. */
  later(run: () => void, ms: number): void;
  changed(): void;
}

/** Refusals that speak of one kind of record: others may go all the same. */
const OF_THE_KIND: ReadonlySet<Hindrance> = new Set(["not_allowed", "unconfirmed"]);
const kindOf = ({ farmId, kind }: Pick<Entry, "farmId" | "kind">): string => `${farmId} ${kind}`;
/** The service fell over what it was sent; one that says that it cannot serve anybody now (503) did not. */
const isFailing = ({ status }: Problem): boolean => status >= 500 && status !== 503;

/** Return the sender. */
export function syncOf(tools: SyncTools): Sync {
  const { api, outbox, tabs, now } = tools;
  const standing: Going = { busy: false, because: null };
  const clock = clockOf(tools);
  let running: Promise<void> | null = null;
  let again = false;
  /** The last upload was answered so that nothing else goes either. */
  let stopped = false;
  let failures = 0;
  /** The service asked not to be tried for so long, from then on. */
  let pause = { from: 0, ms: 0 };
  /** Uploads are cut smaller while a bad record hides in one, and where no answer comes to larger ones. */
  let most = BATCH;
  /** Kinds of record that this device may not send for a farm at present: they hold up no other kind, and no other farm. */
  let shut = new Set<string>();
  const stumbles = stumblesOf();

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

  /** The service itself fails: wait, or find the record that it fails on. Tells whether to go on. */
  const stumbled = (ids: readonly string[]): boolean => {
    const step = stumbles.failed(ids, now());
    if (step === "wait") wait("trouble", null);
    else standing.because = "trouble";
    if (step === "halve") most = Math.ceil(ids.length / 2);
    return step !== "wait";
  };
  const leftUntil = (): number | null => stumbles.nextMs(outbox.entries().filter(({ state }) => state === "waiting").map(({ id }) => id));

  /** Send one upload; tells whether to go on. */
  const send = async (batch: Batch): Promise<boolean> => {
    const ids = batch.entries.map(({ id }) => id);
    try {
      const saidSentAt = await clock.sentAt(batch);
      const sentAt = now();
      const values = batch.entries.map(({ record }) => record);
      const records = { kind: batch.kind, values, schema: batch.schema } as Records;
      const answer = receiptsIn(await api.handIn(batch.farmId, records, new Date(saidSentAt).toISOString()));
      if (answer === null) throw new NoAnswer("The answer is not one of the service's.");
      const { outcomes, cursor, epoch, server_at = null } = answer;
      const saidSkew_s = skewOf(saidSentAt, saidSentAt + (now() - sentAt), server_at);
      const heard: Heard = { at: new Date(now()).toISOString(), server_at, cursor, epoch, ...(saidSkew_s === null ? {} : { skew_s: saidSkew_s }) };
      const done = acknowledged(batch.entries, outcomes, heard);
      if (done.length === 0) {
        // an answer that names none of them is believed in nothing, and would be asked for for ever
        wait("trouble", null);
        return false;
      }
      clock.heard(sentAt, server_at);
      // what a put-back database has lost is offered again in the transaction that keeps where that one stands
      const kept = outbox.entries();
      await outbox.change([...rolledBack(kept, batch.farmId, heard), ...offeredAgain(kept, epoch), ...done]);
      await outbox.forget(batch.farmId, heard);
      failures = 0;
      stumbles.passed(ids);
      if (shut.size === 0 && leftUntil() === null) standing.because = null;
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
      if (error instanceof Problem && isFailing(error) && course.after_s === null) return stumbled(ids);
      if (error instanceof NoAnswer) most = Math.min(most, Math.max(SMALL_BATCH, Math.ceil(most / 2)));
      if (!OF_THE_KIND.has(course.because)) {
        wait(course.because, course.after_s);
        return false;
      }
      // the first that is shut is what is said
      wait(shut.size === 0 ? course.because : (standing.because ?? course.because), course.after_s);
      shut.add(kindOf(batch));
      return true;
    } finally {
      tools.changed();
    }
  };

  /** Nothing more can go now: look again when the time of what was left is up. */
  const rest = (): void => {
    stumbles.rest();
    const untilMs = leftUntil();
    if (untilMs !== null && shut.size === 0) tools.later(() => void kick(), Math.max(0, untilMs - now()));
  };

  const drain = async (): Promise<void> => {
    await outbox.reload();
    stopped = false;
    while (!stopped) {
      const open = outbox.entries().filter((entry) => !shut.has(kindOf(entry)) && !stumbles.isLeft(entry.id, now()));
      const batch = nextBatch(open, most);
      if (batch === null) {
        rest();
        break;
      }
      stopped = !(await send(batch));
    }
    tabs.tell("outbox");
  };
  const run = async (): Promise<void> => {
    standing.busy = true;
    shut = new Set();
    tools.changed();
    try {
      do {
        again = false;
        const ran = await tabs.alone(drain);
        // another tab is at it; should it die, this one looks again
        if (!ran) tools.later(() => void kick(), waitMs(3, tools.random()));
      } while (again && !stopped);
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
  return { kick, standing: () => ({ ...standing, ...clock.standing() }), heardEpoch };
}
