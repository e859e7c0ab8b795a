/** Numbers and days as people read them, and as they type them. */

const COUNT = new Intl.NumberFormat("en");
const ONE_PLACE = new Intl.NumberFormat("en", { maximumFractionDigits: 1 });
const TWO_PLACES = new Intl.NumberFormat("en", { minimumFractionDigits: 2, maximumFractionDigits: 2 });

/** Return a count with thousands set apart: 64,212. */
export function count(value: number): string {
  return COUNT.format(Math.round(value));
}

/** Return a measure with at most one decimal. */
export function measure(value: number): string {
  return ONE_PLACE.format(value);
}

/** Return hectares with two decimals. */
export function hectares(area_ha: number): string {
  return TWO_PLACES.format(area_ha);
}

/** Return a share in percent, cut off as the map does, so that 100 % is said only when nothing is left. */
export function percent(part: number, whole: number): string {
  if (whole <= 0 || part <= 0) return "0 %";
  const value = Math.floor((100 * part) / whole);
  return value < 1 ? "< 1 %" : `${value} %`;
}

/** Return the number typed, with point or comma, or null when it is none. */
export function typedNumber(text: string): number | null {
  const clean = text.trim().replace(",", ".");
  if (!/^[+-]?(\d+\.?\d*|\.\d+)$/.test(clean)) return null;
  return Number(clean);
}

/** Return an ISO day (2026-01-12) as 12 Jan 2026. */
export function dayText(isoDay: string): string {
  const moment = new Date(`${isoDay}T00:00:00Z`);
  if (Number.isNaN(moment.getTime())) return isoDay;
  return new Intl.DateTimeFormat("en-GB", {
    day: "numeric",
    month: "short",
    year: "numeric",
    timeZone: "UTC",
  }).format(moment);
}

/** Return a moment in the farm's zone: Wed 12 Jan, 17:30. */
export function momentText(iso: string, timeZone: string): string {
  const moment = new Date(iso);
  if (Number.isNaN(moment.getTime())) return iso;
  return new Intl.DateTimeFormat("en-GB", {
    weekday: "short",
    day: "numeric",
    month: "short",
    hour: "2-digit",
    minute: "2-digit",
    timeZone,
  }).format(moment);
}

/** Return the hour of a moment in the farm's zone: 17:30. */
export function hourText(iso: string, timeZone: string): string {
  const moment = new Date(iso);
  if (Number.isNaN(moment.getTime())) return iso;
  return new Intl.DateTimeFormat("en-GB", { hour: "2-digit", minute: "2-digit", timeZone }).format(moment);
}
