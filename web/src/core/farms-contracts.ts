/** What the service tells of several farms, to be laid side by side. */

import type { Figures } from "./contracts";
import type { Forecast } from "./forecast-contracts";

/** Work of a season, a variety or a week. */
export interface Work {
  /** Pruned for the first time. */
  trees: number;
  person_hours: number;
  /** Of the trees whose hours are known; null where none are. */
  trees_per_h: number | null;
  /** Drawn trees that were looked at. */
  checked: number;
  faulty: number;
  /** Bounds that hold the share of faulty trees 95 times in 100; null where nothing was looked at. */
  wilson: readonly [low: number, high: number] | null;
}
export interface VarietyWork extends Work {
  /** The same for one variety on every farm, however its name is written; empty where blocks name none. */
  key: string;
  name: string;
  trees_in_all: number;
}
export interface WeekWork extends Work {
  monday: string;
  /** Null for all varieties together. */
  key: string | null;
}
export interface FarmWork {
  id: string;
  name: string;
  cursor: number;
  today: string;
  season: string | null;
  figures: Pick<Figures, "trees" | "pruned" | "lots"> & { must_finish_on: string | null };
  finish: Forecast["finish"];
  chance: number | null;
  work: Work;
  varieties: readonly VarietyWork[];
  weeks: readonly WeekWork[];
}
