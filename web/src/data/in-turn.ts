/** Questions that take the service a while, a few at a time: a browser opens six connections to a host, and short questions must find one free. */

import type { Request } from "./request";

/** Return a way to ask that leaves at most so many unanswered; the others wait in the order in which they came. */
export function inTurn(request: Request, atOnce: number): Request {
  const waiting: (() => void)[] = [];
  let running = 0;
  return async <Answer>(...asked: Parameters<Request>): Promise<Answer> => {
    if (running >= atOnce) await new Promise<void>((go) => waiting.push(go));
    else running += 1;
    try {
      return await request<Answer>(...asked);
    } finally {
      const next = waiting.shift();
      // whoever is next takes this one's place
      if (next === undefined) running -= 1;
      else next();
    }
  };
}

/** Has something done when no other page of this browser does the like. */
export type Alone = <Done>(run: () => Promise<Done>) => Promise<Done>;

/** Held by whoever asks what is reckoned; the map's page takes it too (`maps/assets/source.js`). */
const RECKONED = "orchardmap.reckoned";
/** A page that holds it and is put to sleep by its tablet keeps the others from asking no longer than this. */
const PATIENCE_MS = 20_000;

/**
 * Return the way to ask, of all pages of this browser, one long question at a time.
 *
 * They share the six connections, and each page has its stream on one of them: long questions of a few pages at once would
 * have every short one wait. The service reckons one at a time anyway. On plain http there are no locks, and pages ask at once.
 */
export function aloneOf(locks: Pick<LockManager, "request"> | undefined, patienceMs = PATIENCE_MS): Alone {
  if (locks === undefined) return (run) => run();
  return async (run) => {
    let begun = false;
    const once = (): ReturnType<typeof run> => {
      begun = true;
      return run();
    };
    try {
      return await locks.request(RECKONED, { signal: AbortSignal.timeout(patienceMs) }, once);
    } catch (error) {
      if (begun) throw error;
      return once(); // not our turn for too long: somebody may sleep on it
    }
  };
}
