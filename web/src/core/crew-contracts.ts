/** What spot checks tell of crews side by side, and of auditors on the same trees, on the wire. */

import type { Span } from "./quality-contracts";

export interface Coefficient {
  value: number;
  low: number;
  high: number;
}
/** How far auditors agree on the same trees; null where the trees cannot tell. */
export interface Agreement {
  trees: number;
  percent: Coefficient;
  kappa: Coefficient | null;
  ac1: Coefficient | null;
  positive: Coefficient | null;
}
export type Standing = "as_others" | "more_faulty" | "fewer_faulty" | "too_few_checks";
export interface CrewQuality {
  crew_id: string;
  crew: string;
  /** Trees that can be held against others, and those that cannot: nobody else was checked in such a block. */
  checked: number;
  left_out?: number;
  faulty: number;
  expected: number;
  /** Faulty trees over expected ones; null where none were expected. */
  ratio: number | null;
  /** Limits of the ratio: 95 and 99.8 in 100. */
  near: Span;
  far: Span;
  standing: Standing;
  words: string;
  wilson: Span;
}
export type FunnelPoint = [checked: number, nearLow: number, nearHigh: number, farLow: number, farHigh: number];
export interface CrewPart {
  crew_id: string;
  checked: number;
  failed: number;
  wilson: Span;
}
export interface FarmCrewQuality {
  day: string;
  cursor: number;
  faulty_share: number | null;
  crews: CrewQuality[];
  /** Limits of the share of faulty trees by how many were checked. */
  funnel: FunnelPoint[];
  points: { key: string; sentence: string; crews: CrewPart[] }[];
  habits: { habit: string; crews: CrewPart[] }[];
}

export interface AuditorPair {
  auditors: { id: string; name: string }[];
  trees: number;
  /** Trees by the verdict of the first (row) and the second auditor: meets, minor, faulty. */
  table: number[][];
  percent: Coefficient;
  kappa: Coefficient | null;
  ac1: Coefficient | null;
  positive: Coefficient | null;
}
export interface FarmAgreement {
  cursor: number;
  trees: number;
  pairs: AuditorPair[];
  points: { key: string; sentence: string; trees: number; differ: number }[];
  words: string[];
}
