/** Measures in fields: written with the decimal sign of the language spoken here, read with point or comma, thousands never guessed. */

import { language } from "./language";
import { typedNumber } from "./numbers";

function signOf(kind: "decimal" | "group"): string {
  const parts = new Intl.NumberFormat(language(), { useGrouping: true }).formatToParts(10_000.5);
  return parts.find(({ type }) => type === kind)?.value ?? ".";
}

/** Return a measure as it stands in its field, all its decimals kept. */
export function measureText(value: number): string {
  return String(value).replace(".", signOf("decimal"));
}

/**
 * Return the measure typed, or null when it is none. "1,000" is none where thousands are set apart so: read as a decimal
 * it would be one, and a goal of a thousand bushels a goal of one.
 */
export function typedMeasure(text: string): number | null {
  const clean = text.trim();
  const isGrouped = /^[+-]?[1-9]\d{0,2}[.,]\d{3}$/.test(clean) && clean.includes(signOf("group"));
  return isGrouped ? null : typedNumber(clean);
}
