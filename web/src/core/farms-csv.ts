/**
 * Farms side by side as CSV (RFC 4180), for a sheet of one's own: what the tables show, as plain numbers with their units in the headings.
 *
 * Headings are English whatever is spoken, as in all files: a sheet made of one keeps working.
 */

import type { FarmWork, Work } from "./farms-contracts";
import { varietyLines, weekLines } from "./side-by-side";

type Value = string | number | null;
const WORK = ["trees_pruned", "person_hours", "trees_per_person_hour", "trees_checked", "trees_faulty", "faulty_share_low", "faulty_share_high"];
/** With it a spreadsheet reads the file as UTF-8. */
const MARK = "\ufeff";
/** What a spreadsheet takes for a formula (OWASP, CSV Injection). */
const FORMULA = /^[\t\r\n]|^\s*[=+\-@]/;

function cell(value: Value): string {
  if (value === null) return "";
  if (typeof value === "number") return String(value);
  const text = FORMULA.test(value) ? `'${value}` : value;
  return /[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
}

function csv(heads: readonly string[], lines: readonly (readonly Value[])[]): string {
  return MARK + [heads, ...lines].map((line) => `${line.map(cell).join(",")}\r\n`).join("");
}

function worked({ trees, person_hours, trees_per_h, checked, faulty, wilson }: Work): Value[] {
  return [trees, person_hours, trees_per_h, checked, faulty, wilson?.[0] ?? null, wilson?.[1] ?? null];
}

/** Return how far each farm is. */
export function standingCsv(farms: readonly FarmWork[]): string {
  const heads = ["farm", "season", "as_of", "trees", "trees_pruned_now", "likely_finished", "finished_9_in_10", "must_finish", "blocks_accepted", "blocks_accepted_in_part", "blocks_to_send_back", "blocks_too_few_checks"];
  const lines = farms.map(({ name, season, today, figures, finish, work }): Value[] => {
    const { trees, pruned, must_finish_on, lots } = figures;
    const blocks = [lots.accepted, lots.accepted_in_part, lots.send_back, lots.too_few];
    return [name, season, today, trees, pruned, finish?.p50 ?? null, finish?.p90 ?? null, must_finish_on, ...blocks, ...worked(work)];
  });
  return csv([...heads, ...WORK], lines);
}

/** Return each variety on each farm that grows it. */
export function varietiesCsv(farms: readonly FarmWork[]): string {
  const lines = varietyLines(farms).flatMap(({ name, of }) =>
    of.flatMap((work, at): Value[][] => (work === null ? [] : [[name, farms[at]?.name ?? "", farms[at]?.today ?? "", work.trees_in_all, ...worked(work)]])),
  );
  return csv(["variety", "farm", "as_of", "trees", ...WORK], lines);
}

/** Return each week of each farm, of one variety or, where `key` is null, of all. A week without work is a line, too. */
export function weeksCsv(farms: readonly FarmWork[], key: string | null): string {
  const name = key === null ? null : (varietyLines(farms).find((one) => one.key === key)?.name ?? key);
  const lines = weekLines(farms, key).flatMap(({ monday, of }) =>
    of.map((work, at): Value[] => [monday, farms[at]?.name ?? "", name, ...(work === null ? [0, ...WORK.slice(1).map(() => null)] : worked(work))]),
  );
  return csv(["week_of_monday", "farm", "variety", ...WORK], lines);
}
