/** Briefs for tests. */

import type { BriefContent, Point, SaidBrief } from "../../src/core/brief-contracts";

export function point(key: string, more: Partial<Point> = {}): Point {
  return {
    key, sentences: { en: `Do ${key}.`, es: `Haga ${key}.` }, picture: "dead-wood", kind: "yes_no", low: null, high: null,
    unit: "", point_class: "major", is_checked: true, source: "common practice", ...more,
  };
}

export const LIMBS = point("limb-count", { kind: "count", low: 18, high: 22, unit: "limbs", sentences: { es: "Deje {range} ramas.", en: "Leave {range} limbs." } });
export const THIN = point("limb-over-half", { kind: "ratio", high: 2 / 3 });

export function content(points: readonly Point[], more: Partial<BriefContent> = {}): BriefContent {
  const none = { fruit_per_tree: null, buds_per_tree: null, buds_per_limb: null, limbs_per_tree: null };
  return { format: 1, habit: "spur_renewed", is_heavy_setter: false, points, cautions: ["ladder", "eyes"], bud_target: none, notes: {}, ...more };
}

/** Return a brief as the service tells it: here every sentence with its limits is "Said: key". */
export function said(points: readonly Point[]): SaidBrief {
  const text = { points: points.map(({ key }) => `Said: ${key}`), pictures: [], cautions: [] };
  return { content: content(points), texts: { en: text, es: text } };
}
