/** Money as text with decimals: added up exactly, and written as people of the language spoken here read it. */

import { language } from "./language";

const LOCALE = language() === "en" ? "en-GB" : language();

function decimalsOf(amount: string): number {
  return amount.split(".")[1]?.length ?? 0;
}

function scaled(amount: string, decimals: number): bigint {
  const [whole = "0", part = ""] = amount.replace("-", "").split(".");
  const value = BigInt(whole + part.padEnd(decimals, "0"));
  return amount.startsWith("-") ? -value : value;
}

/** Return the sum of amounts, with as many decimals as the finest of them has. */
export function sumOf(amounts: readonly string[]): string {
  const decimals = Math.max(0, ...amounts.map(decimalsOf));
  const sum = amounts.reduce((whole, one) => whole + scaled(one, decimals), 0n);
  const digits = String(sum < 0n ? -sum : sum).padStart(decimals + 1, "0");
  const text = decimals === 0 ? digits : `${digits.slice(0, -decimals)}.${digits.slice(-decimals)}`;
  return sum < 0n ? `-${text}` : text;
}

/** Tell whether an amount is nothing. */
export function isNothing(amount: string): boolean {
  return !/[1-9]/.test(amount);
}

/** Return an amount with its decimals, thousands set apart and a minus that is none of a hyphen. */
export function moneyText(amount: string): string {
  const digits = decimalsOf(amount);
  const shown = new Intl.NumberFormat(LOCALE, { minimumFractionDigits: digits, maximumFractionDigits: digits, useGrouping: true });
  return shown.format(Number(amount)).replace("-", "\u2212");
}

/** Return the number that a fraction such as 15/2 stands for. */
export function fractionOf(text: string): number {
  const [over = "0", under = "1"] = text.split("/");
  return Number(over) / Number(under);
}

/** Return hours with two decimals at most. */
export function hoursText(hours: number): string {
  return new Intl.NumberFormat(LOCALE, { maximumFractionDigits: 2 }).format(hours);
}

/** Return what was typed as an amount the service takes, with point or comma, or null where it is none. */
export function typedMoney(text: string): string | null {
  const clean = text.trim().replace(",", ".");
  return /^\d{1,9}(\.\d{1,6})?$/.test(clean) ? clean : null;
}

/** Return an amount as it stands in its field. */
export function moneyField(amount: string): string {
  const sign = new Intl.NumberFormat(LOCALE).formatToParts(0.5).find(({ type }) => type === "decimal")?.value ?? ".";
  return amount.replace(".", sign);
}
