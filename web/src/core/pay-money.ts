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

function textOf(value: bigint, decimals: number): string {
  const digits = String(value < 0n ? -value : value).padStart(decimals + 1, "0");
  const text = decimals === 0 ? digits : `${digits.slice(0, -decimals)}.${digits.slice(-decimals)}`;
  return value < 0n ? `-${text}` : text;
}

/** Return the sum of amounts, with as many decimals as the finest of them has. */
export function sumOf(amounts: readonly string[]): string {
  const decimals = Math.max(0, ...amounts.map(decimalsOf));
  const sum = amounts.reduce((whole, one) => whole + scaled(one, decimals), 0n);
  return textOf(sum, decimals);
}

function bare(amount: string): string {
  return amount.includes(".") ? amount.replace(/\.?0+$/, "") : amount;
}

/** Return the share that so many percent are, to the last digit: binary numbers make 0.33299999999999996 of 33.3. */
export function shareOf(percent: string): string {
  const decimals = decimalsOf(percent);
  return bare(textOf(scaled(percent, decimals), decimals + 2));
}

/** Return a share in percent; see `shareOf`. */
export function percentOf(share: string): string {
  const decimals = Math.max(2, decimalsOf(share));
  return bare(textOf(scaled(share, decimals), decimals - 2));
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

/** Return a rate with the decimals of an amount it made, or as many more as it needs, six at most. */
export function rateText(rate: number, amount: string): string {
  const digits = decimalsOf(amount);
  const shown = new Intl.NumberFormat(LOCALE, { minimumFractionDigits: digits, maximumFractionDigits: Math.max(6, digits) });
  return shown.format(rate);
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

/** The sign before decimals in the language spoken here. */
const DECIMAL_SIGN = new Intl.NumberFormat(LOCALE).formatToParts(0.5).find(({ type }) => type === "decimal")?.value ?? ".";

/**
 * Return what was typed as an amount the service takes, with point or comma, or null where it is none.
 *
 * 12,000 is twelve thousand to whoever writes decimals with a point, and twelve elsewhere: it is none before it is said which.
 */
export function typedMoney(text: string, sign = DECIMAL_SIGN): string | null {
  const [, whole, between, decimals] = /^(\d{1,12})(?:([.,])(\d{1,6}))?$/.exec(text.trim()) ?? [];
  if (whole === undefined) return null;
  if (decimals === undefined) return whole;
  const mayBeThousands = between !== sign && decimals.length === 3 && !whole.startsWith("0");
  return mayBeThousands ? null : `${whole}.${decimals}`;
}

/** Return an amount as it stands in its field. */
export function moneyField(amount: string): string {
  return amount.replace(".", DECIMAL_SIGN);
}
