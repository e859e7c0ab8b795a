/** The service's routes of spot checks: lots, returns, weak areas, crews and auditors. Its sentences come in the language spoken here. */

import { language } from "../core/language";
import type { FarmAgreement, FarmCrewQuality } from "../core/crew-contracts";
import type { FarmLots, FarmWeakAreas, FullLot, LotRequest, NewReturn, PlannedLot, Return } from "../core/quality-contracts";
import type { PlanSetting } from "../core/quality-settings";
import type { Request } from "./request";

/** Every block with checks is looked through when it was not yet, some thousand times each. */
const LOOKING_LIMIT_MS = 60_000;

export type QualityApi = ReturnType<typeof qualityApi>;

/** Return the routes over a request function. */
export function qualityApi(request: Request) {
  const spoken = { lang: language() };
  const asked = (more: Record<string, string | number | undefined> = {}): string => {
    const said = Object.entries({ ...spoken, ...more }).flatMap(([name, value]) => (value === undefined ? [] : [[name, String(value)]]));
    return `?${new URLSearchParams(said).toString()}`;
  };
  const at = (farm: string, what: string): string => `/farms/${encodeURIComponent(farm)}/${what}`;
  const lotAt = (lot: string): string => `/lots/${encodeURIComponent(lot)}`;
  return {
    lots: (farm: string) => request<FarmLots>(at(farm, "lots") + asked()),
    planLot: (farm: string, lot: LotRequest) => request<PlannedLot>(at(farm, "lots/plan") + asked(), { method: "POST", json: lot }),
    /** The same id again answers the same lot. */
    drawLot: (farm: string, id: string, lot: LotRequest) =>
      request<FullLot>(at(farm, "lots") + asked(), { method: "POST", json: { id, ...lot } }),
    lot: (lot: string) => request<FullLot>(lotAt(lot) + asked()),
    cancelLot: (lot: string, reason: string) => request<unknown>(`${lotAt(lot)}/cancel`, { method: "POST", json: { reason } }),
    returns: (farm: string) => request<{ returns: Return[] }>(at(farm, "returns") + asked()),
    makeReturn: (farm: string, made: NewReturn) => request<Return>(at(farm, "returns") + asked(), { method: "POST", json: made }),
    cancelReturn: (id: string, reason: string) =>
      request<unknown>(`/returns/${encodeURIComponent(id)}/cancel`, { method: "POST", json: { reason } }),
    /** Areas that chance alone would bring at most this often, 0 to 1; without a level the farm's own. */
    weakAreas: (farm: string, { day, level }: { day?: string; level?: number } = {}) =>
      request<FarmWeakAreas>(at(farm, "weak-areas") + asked({ day, level }), { timeLimitMs: LOOKING_LIMIT_MS }),
    crewQuality: (farm: string, day?: string) => request<FarmCrewQuality>(at(farm, "crew-quality") + asked({ day })),
    agreement: (farm: string, day?: string) => request<FarmAgreement>(at(farm, "auditor-agreement") + asked({ day })),
    settings: (farm: string) => request<{ settings: PlanSetting[] }>(at(farm, "settings")),
    saveSettings: (farm: string, changes: Record<string, string | number>) =>
      request<{ settings: PlanSetting[] }>(at(farm, "settings"), { method: "PUT", json: changes }),
    /** Where a check's photo is to be had. */
    photoAddress: (photo: string): string => `/api/photos/${encodeURIComponent(photo)}`,
  };
}
