/** Invented lots, returns and areas, as the service tells them. */

import type { Lot, Return, WeakArea } from "../../src/core/quality-contracts";

/** Return a lot that waits for its checks, but for what is said. */
export function lotOf(said: Partial<Lot> = {}): Lot {
  return {
    id: "lot-1", number: 1, block_id: "b1", block_code: "K2", crew_id: "c1", crew: "North crew", opened_on: "2026-01-12",
    from_day: "2026-01-05", until_day: "2026-01-10", lot_trees: 420, n: 20, accept: 2, reject: 3,
    plan: { kind: "attributes", level: "I", aql: 4, severity: "normal" }, plan_words: "", brief_id: null, brief_version: null, seed: 7,
    return_id: null, cancelled: null, checked: 0, faulty: 0, minor: 0, meets: 0, verdict: "too_few", is_decided: false,
    sentences: [], returns: [], put_right: false, not_sent_back: 0, rest: [], risks: [], ...said,
  };
}

/** Return a return that is to be gone over again, but for what is said. */
export function returnOf(said: Partial<Return> = {}): Return {
  return {
    id: "r1", number: 1, block_id: "b1", block_code: "K2", crew_id: "c1", crew: "North crew", due_on: "2026-01-15", made_on: "2026-01-12",
    lot_id: "lot-1", area: null, points: [], note: "", stretches: [[1, 1, 50]], open: [[1, 1, 50]], trees: 50, trees_open: 50,
    state: "open", is_late: false, history: [], ...said,
  };
}

/** Return a suspect area without a return, but for what is said. */
export function areaOf(said: Partial<WeakArea> = {}): WeakArea {
  return {
    id: "a1", block_id: "b1", block_code: "K2", rows: [3, 6], positions: [10, 40], checked: 14, faulty: 9, llr: 8, p: 0.00025, state: "suspect",
    odds_words: "9 of 14 faulty; chance alone: 1 in 4,000", crews: [], points: [], returns: [], recheck: null, ring: [], ...said,
  };
}
