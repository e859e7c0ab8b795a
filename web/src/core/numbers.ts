/** Numbers, days and lists as people of the language spoken here read them, and as they type them. */

import { language } from "./language";

/** English is written as in Great Britain: the day before the month, no comma before the last of a list. */
const LOCALE = language() === "en" ? "en-GB" : language();
// thousands are set apart from the first on, in languages too that begin at ten thousand: columns of figures have both
const COUNT = new Intl.NumberFormat(LOCALE, { useGrouping: true });
const ONE_PLACE = new Intl.NumberFormat(LOCALE, { maximumFractionDigits: 1, useGrouping: true });
const TWO_PLACES = new Intl.NumberFormat(LOCALE, { minimumFractionDigits: 2, maximumFractionDigits: 2, useGrouping: true });
const TYPEABLE = new Intl.NumberFormat(LOCALE, { maximumFractionDigits: 1, useGrouping: false });
const OR = new Intl.ListFormat(LOCALE, { type: "disjunction" });

/** Return a count with thousands set apart: 64,212. */
export function count(value: number): string {
  return COUNT.format(Math.round(value));
}

/** Return a measure with at most one decimal. */
export function measure(value: number): string {
  return ONE_PLACE.format(value);
}

/** Return a measure as `typedNumber` reads it again: no thousands set apart. */
export function typeable(value: number): string {
  return TYPEABLE.format(value);
}

/** Return a list of which one holds: 3, 4 or 5. */
export function orList(parts: readonly (string | number)[]): string {
  return OR.format(parts.map(String));
}

/** Return hectares with two decimals. */
export function hectares(area_ha: number): string {
  return TWO_PLACES.format(area_ha);
}

/** Return a coefficient with two decimals, with a minus and not a hyphen. */
export function coefficient(value: number): string {
  return TWO_PLACES.format(value).replace("-", "\u2212");
}

/** No line breaks between a number and its sign. */
const PERCENT_SIGN = "\u00a0%";

/** Return a share in percent, cut off as the map does, so that 100 % is said only when nothing is left. */
export function percent(part: number, whole: number): string {
  if (whole <= 0 || part <= 0) return `0${PERCENT_SIGN}`;
  const value = Math.min(100, Math.floor((100 * part) / whole));
  return value < 1 ? `<\u00a01${PERCENT_SIGN}` : `${value}${PERCENT_SIGN}`;
}

/** Return a share in hundredths, with one decimal at most. */
export function inHundred(share: number): string {
  return `${measure(100 * share)}${PERCENT_SIGN}`;
}

/** Return the number typed, with point or comma, or null when it is none. */
export function typedNumber(text: string): number | null {
  const clean = text.trim().replace(",", ".");
  if (!/^[+-]?(\d+\.?\d*|\.\d+)$/.test(clean)) return null;
  return Number(clean);
}

/** Return an ISO day (2026-01-12) that is near as Mon 12 Jan. */
export function weekdayText(isoDay: string): string {
  const moment = new Date(`${isoDay}T00:00:00Z`);
  if (Number.isNaN(moment.getTime())) return isoDay;
  return new Intl.DateTimeFormat(LOCALE, { weekday: "short", day: "numeric", month: "short", timeZone: "UTC" }).format(moment);
}

/** Return an ISO day (2026-01-12) as 12 Jan 2026. */
export function dayText(isoDay: string): string {
  const moment = new Date(`${isoDay}T00:00:00Z`);
  if (Number.isNaN(moment.getTime())) return isoDay;
  return new Intl.DateTimeFormat(LOCALE, {
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
  return new Intl.DateTimeFormat(LOCALE, {
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
  return new Intl.DateTimeFormat(LOCALE, { hour: "2-digit", minute: "2-digit", timeZone }).format(moment);
}
