/** The service's routes of the ground. */

import type { BlockGround, GroundBody, GroundDifference, TakenChange } from "../core/ground-contracts";
import type { Geometry } from "../core/import-contracts";
import type { TileSource } from "../core/tiles";
import type { Request } from "./request";

export interface FarmBlock {
  id: string;
  code: string;
  name: string;
  geometry: Geometry | null;
}
export type GroundApi = ReturnType<typeof groundApi>;
/** A block of many curved rows takes a moment. */
const LIMIT_MS = 30_000;

/** Return the routes over a request function. */
export function groundApi(request: Request) {
  const at = (farm: string, what: string): string => `/farms/${encodeURIComponent(farm)}/${what}`;
  return {
    block: (block: string) => request<BlockGround>(`/blocks/${encodeURIComponent(block)}/ground`),
    async blocks(farm: string): Promise<FarmBlock[]> {
      const found = await request<{ features: { id: string; geometry: Geometry | null; properties: { code: string; name: string } }[] }>(
        at(farm, "blocks"),
      );
      return found.features.map(({ id, geometry, properties: { code, name } }) => ({ id, geometry, code, name }));
    },
    changes: (farm: string) => request<{ changes: TakenChange[]; tiles: TileSource | null }>(at(farm, "ground-changes")),
    preview: (farm: string, json: GroundBody) =>
      request<GroundDifference>(at(farm, "ground-changes/preview"), { method: "POST", json, timeLimitMs: LIMIT_MS }),
    take: (farm: string, json: GroundBody) =>
      request<{ id: string; versions: Record<string, string | null> }>(at(farm, "ground-changes"), {
        method: "POST",
        json,
        timeLimitMs: LIMIT_MS,
      }),
  };
}
