/**
 * Records that the service falls over: found by halves, left for later, never refused for it.
 *
 * A service that fails on everything is told from one that fails on a record: where two records fail one after the other,
 * each by itself, all others wait as well.
 */

/** Failures of uploads in a row after which the record at fault is looked for. */
export const TRIES = 3;
const FIRST_LEFT_MS = 60_000;
const LONGEST_LEFT_MS = 600_000;

/** What to do after a failure: wait and send the same again, send half of it at once, or go on with the other records. */
export type Step = "wait" | "halve" | "leave";

export interface Stumbles {
  /** An upload of these records failed. */
  failed(ids: readonly string[], nowMs: number): Step;
  /** An upload of these records was taken. */
  passed(ids: readonly string[]): void;
  /** Nothing is left to send at the moment: the next failure begins a new count. */
  rest(): void;
  /** Tell whether a record is not sent again yet. */
  isLeft(id: string, nowMs: number): boolean;
  /** Return when the next of these records that were left is sent again, or null where none was. */
  nextMs(ids: readonly string[]): number | null;
}

/** Return what is known of the service's failures; a page that is opened again begins anew. */
export function stumblesOf(): Stumbles {
  let failures = 0;
  let searching = false;
  /** Whether a record failed by itself and nothing has passed since. */
  let oneFailed = false;
  const left = new Map<string, { times: number; untilMs: number }>();
  return {
    failed(ids, nowMs) {
      failures += 1;
      if (failures < TRIES) return "wait";
      searching = true;
      const [id] = ids;
      if (id === undefined || ids.length > 1) return "halve";
      const times = (left.get(id)?.times ?? 0) + 1;
      left.set(id, { times, untilMs: nowMs + Math.min(LONGEST_LEFT_MS, FIRST_LEFT_MS * 2 ** (times - 1)) });
      oneFailed = !oneFailed;
      return oneFailed ? "leave" : "wait";
    },
    passed(ids) {
      if (!searching) failures = 0;
      oneFailed = false;
      for (const id of ids) left.delete(id);
    },
    rest() {
      failures = 0;
      searching = false;
    },
    isLeft(id, nowMs) {
      const until = left.get(id)?.untilMs ?? nowMs;
      // one further off than any is left for was reckoned by a clock that has been set back since
      return until > nowMs && until <= nowMs + LONGEST_LEFT_MS;
    },
    nextMs(ids) {
      const moments = ids.flatMap((id) => left.get(id)?.untilMs ?? []);
      return moments.length === 0 ? null : Math.min(...moments);
    },
  };
}
