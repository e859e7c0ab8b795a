/** The service's routes of pay. What they answer is drawn and forgotten: nothing of it is kept on the device. */

import type { Budget, Cost, HoursEntry, KeptRules, PayPreview, PayRules, PayRun, PayRunHead, PersonHours } from "../core/pay-contracts";
import type { Request } from "./request";

/** A crew-day as the service lists it: those replaced or set aside do not stand. */
export interface ListedCrewDay {
  crew_id: string;
  day: string;
  people: number;
  hours: number;
  standing: boolean;
}
export interface RunWish {
  first: string;
  last: string;
  crew_id: string | null;
}
/** A sheet for each person or each crew, as PDF; everything as a table. */
export type SheetKind = "people" | "crews" | "book";
export type PayApi = ReturnType<typeof payApi>;

/** A line on paper takes a busy service up to a tenth of a second (measured), and a month of a farm has a thousand. */
const SHEET_LIMIT_MS = 180_000;

/** Return the routes over a request function. */
export function payApi(request: Request) {
  const at = (farm: string, what: string): string => `/farms/${encodeURIComponent(farm)}/${what}`;
  return {
    rules: (farm: string) => request<KeptRules>(at(farm, "pay-rules")),
    saveRules: (farm: string, revision: number, rules: PayRules) =>
      request<KeptRules>(at(farm, "pay-rules"), { method: "PUT", json: { revision, rules } }),
    hours: (farm: string, first: string, last: string) =>
      request<{ hours: PersonHours[] }>(at(farm, `person-hours?first=${first}&last=${last}`)),
    typeHours: (farm: string, hours: readonly HoursEntry[]) => request<null>(at(farm, "person-hours"), { method: "POST", json: { hours } }),
    crewDays: (farm: string) => request<{ crew_days: ListedCrewDay[]; cursor?: number }>(at(farm, "crew-days")),
    preview: (farm: string, { first, last, crew_id }: RunWish) =>
      request<PayPreview>(at(farm, `pay-preview?first=${first}&last=${last}${crew_id === null ? "" : `&crew=${crew_id}`}`)),
    runs: (farm: string) => request<{ runs: PayRunHead[] }>(at(farm, "pay-runs")),
    run: (farm: string, run: string) => request<PayRun>(at(farm, `pay-runs/${encodeURIComponent(run)}`)),
    exportRun: (farm: string, wish: RunWish & { id: string; seen: string }) =>
      request<PayRun>(at(farm, "pay-runs"), { method: "POST", json: wish }),
    sheet: (farm: string, run: string, kind: SheetKind, language: string) =>
      request<Blob>(at(farm, `pay-runs/${encodeURIComponent(run)}/${kind === "book" ? "book.xlsx?" : `sheets.pdf?of=${kind}&`}lang=${language}`), {
        file: true,
        timeLimitMs: SHEET_LIMIT_MS,
      }),
    cost: (farm: string) => request<Cost>(at(farm, "pay-cost")),
    saveBudget: (farm: string, budget: { amount: string | null; is_per_tree: boolean }) =>
      request<{ budget: Budget | null }>(at(farm, "budget"), { method: "PUT", json: budget }),
  };
}
