/** What of the day asks for a manager, on the wire. */

export interface NeedsToday {
  day: string;
  /** Crews that nothing was heard from, with the blocks they were given. */
  silent: { crew_id: string; last_day: string; blocks: string[] }[];
  closures: { block_id: string; block_code: string; turn: "begins" | "ends"; at: string; reason: string }[];
  /** Blocks that are begun and not done, and for which no published brief holds; not said by an older service. */
  unbriefed?: { block_id: string; block_code: string; variety_id: string | null }[];
}
