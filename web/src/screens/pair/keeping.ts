/** Asks the browser to keep what waits on this tablet, and says plainly what it answered. */

import { PAIR } from "../../core/pair-wording";

/** Return the sentence, and whether it is a good one. */
export async function keepingWords(): Promise<{ words: string; good: boolean }> {
  // absent on plain http: the browser has no such promise to give there
  const storage = isSecureContext ? navigator.storage : undefined;
  if (storage?.persist === undefined) return { words: PAIR.cannotKeep, good: false };
  const kept = (await storage.persisted()) || (await storage.persist());
  return { words: kept ? PAIR.kept : PAIR.notKept, good: kept };
}
