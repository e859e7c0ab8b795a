/** Briefs for tests: what the service tells, as small as it comes. */

import type { BriefVersion, Point } from "../../src/core/brief-contracts";

export const point = (key: string, more: Partial<Point> = {}): Point => ({
  key, sentences: { en: `Do ${key}.` }, picture: key, kind: "yes_no", low: null, high: null, unit: "", point_class: "major", is_checked: true, source: "common practice", ...more,
});

/** Return a version whose points say "Do <key>." and "Haga <key>.", each with a drawing of that name. */
export function briefOf(version: number, points: readonly Point[], more: Partial<BriefVersion> = {}): BriefVersion {
  const text = (verb: string, cautions: string[]) => ({ points: points.map(({ key }) => `${verb} ${key}.`), pictures: points.map(({ picture }) => picture), cautions });
  return {
    brief_id: "t",
    version,
    published_at: "2026-01-12T23:30:00+00:00",
    content: { format: 1, habit: "spur_renewed", is_heavy_setter: false, cautions: ["eyes"], points: [...points], bud_target: { buds_per_limb: null, buds_per_tree: null, limbs_per_tree: null, fruit_per_tree: null }, notes: {} },
    texts: { en: text("Do", ["Eyes: glasses.", "The law decides."]), es: text("Haga", ["Ojos: gafas.", "Decide la ley."]) },
    ...more,
  };
}
