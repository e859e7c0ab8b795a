/** Whether the blocks that are to be taken lie far from the farm's or from each other. */

import type { Place } from "./import-contracts";
import type { Draft } from "./drafts";

export interface FarBlocks {
  codes: string[];
  /** From the farm's other blocks, or from the first ones of the file; null where those it was measured from are not taken. */
  away_km: number | null;
}

/** Return what of the wanted blocks lies far off, place by place; nothing where all lie together. */
export function farBlocks(places: readonly Place[], wanted: readonly Draft[]): FarBlocks[] {
  const held = places.map((place) => {
    const indices = new Set(place.indices);
    const codes = wanted
      .filter(({ feature, surveyed }) => [feature, ...surveyed].some((one) => one !== null && indices.has(one.index)))
      .map(({ code }) => code);
    return { codes: [...new Set(codes)], away_km: place.away_km, farm: place.farm };
  });
  const [first, ...others] = held;
  const far = others.filter(({ codes }) => codes.length > 0);
  if (first !== undefined && (first.farm || first.codes.length > 0)) return far.map(({ codes, away_km }) => ({ codes, away_km }));
  return far.slice(1).map(({ codes }) => ({ codes, away_km: null }));
}
