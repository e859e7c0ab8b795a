/** Moments as the clock on the farm's wall shows them, for fields into which a day and an hour are entered. */

const MINUTE_MS = 60_000;

/** Return a moment (milliseconds) as "2026-01-20T14:30", as the clock of that time zone shows it. */
export function wallTime(timeZone: string, atMs: number): string {
  const parts = new Intl.DateTimeFormat("en", {
    timeZone,
    hourCycle: "h23",
    year: "numeric",
    month: "2-digit",
    day: "2-digit",
    hour: "2-digit",
    minute: "2-digit",
  }).formatToParts(atMs);
  const part = (type: string): string => parts.find((one) => one.type === type)?.value ?? "";
  return `${part("year")}-${part("month")}-${part("day")}T${part("hour")}:${part("minute")}`;
}

/**
 * Return the moment (ISO 8601, UTC) at which the clock of that time zone shows "2026-01-20T14:30"; null where nothing is entered.
 *
 * Of the two moments that an hour has when clocks go back it is the first; an hour that clocks leave out is read as one later.
 */
export function momentAt(timeZone: string, wall: string): string | null {
  const asUtc = Date.parse(`${wall}Z`);
  if (Number.isNaN(asUtc)) return null;
  const ahead = (at: number): number => Date.parse(`${wallTime(timeZone, at)}Z`) - Math.floor(at / MINUTE_MS) * MINUTE_MS;
  const day = 24 * 60 * MINUTE_MS;
  // the clock's lead before and after any change that is near; of both the earlier moment that shows the wanted hour
  const moments = [ahead(asUtc - day), ahead(asUtc + day)].map((lead) => asUtc - lead);
  const showing = moments.filter((at) => wallTime(timeZone, at) === wallTime("UTC", asUtc));
  return new Date(showing.length > 0 ? Math.min(...showing) : Math.max(...moments)).toISOString();
}
