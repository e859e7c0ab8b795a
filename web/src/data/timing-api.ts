/** The service's routes of timing: weather, notices, and what advice goes by. */

import type { Variety } from "../core/contracts";
import type { PowerLine, Setting, Timing, Weather } from "../core/timing";
import type { Request } from "./request";

export type Leaning = "is_biennial" | "is_canker_prone";
export type TimingApi = ReturnType<typeof timingApi>;

/** Return the routes over a request function. */
export function timingApi(request: Request) {
  const at = (farm: string, what: string): string => `/farms/${encodeURIComponent(farm)}/${what}`;
  return {
    timing: (farm: string, day?: string) =>
      request<Timing>(at(farm, day === undefined ? "timing" : `timing?day=${encodeURIComponent(day)}`)),
    weather: (farm: string) => request<Weather>(at(farm, "weather")),
    loadWeather: (farm: string, table: Blob) => request<{ days: number }>(at(farm, "weather"), { method: "PUT", csv: table }),
    forgetWeather: (farm: string) => request<null>(at(farm, "weather"), { method: "DELETE" }),
    settings: (farm: string) => request<{ settings: Setting[] }>(at(farm, "settings")),
    saveSettings: (farm: string, changes: Record<string, number>) =>
      request<{ settings: Setting[] }>(at(farm, "settings"), { method: "PUT", json: changes }),
    lean: (farm: string, variety: string, leaning: Partial<Record<Leaning, boolean>>) =>
      request<Variety>(at(farm, `varieties/${encodeURIComponent(variety)}`), { method: "PATCH", json: leaning }),
    blocks: (farm: string) =>
      request<{ features: { id: string; properties: { code: string; slope_percent: number | null } }[] }>(at(farm, "blocks")),
    lines: (farm: string) => request<{ lines: PowerLine[] }>(at(farm, "hazard-lines")),
    addLine: (farm: string, line: { name: string; kv: number; geojson: object }) =>
      request<{ id: string }>(at(farm, "hazard-lines"), { method: "POST", json: line }),
    removeLine: (farm: string, line: string) =>
      request<null>(at(farm, `hazard-lines/${encodeURIComponent(line)}`), { method: "DELETE" }),
    setSlope: (block: string, slope_percent: number | null) =>
      request<null>(`/blocks/${encodeURIComponent(block)}`, { method: "PATCH", json: { slope_percent } }),
  };
}
