/** What is typed and said before one is let in, and what lets others in: passwords, pairing codes, PINs and links. */

import type { Who } from "./contracts";

/**
 * Return what to put before somebody whom a link let in: a first password for a manager, who could not settle or pair
 * ten minutes later without one; a new one for whoever may have forgotten it; else nothing.
 */
export function passwordOffer({ has_password, fresh_link, farms }: Who): "first" | "new" | null {
  if (has_password === false) return farms.some(({ role }) => role === "manager") ? "first" : null;
  return fresh_link === true ? "new" : null;
}

/** The shortest password the service takes. */
export const PASSWORD_LEAST = 12;
/** What is wrong with a new password by the rule that was said before; null when nothing is. */
export type PasswordFault = "short" | "login" | "one_character" | "digits" | "not_the_same";

/** Look at a new password and at the second typing of it, as the service will. */
export function passwordFault(password: string, again: string, login: string): PasswordFault | null {
  // counted in characters, as the service counts; a length in UTF-16 units would let fewer pass
  const characters = [...password];
  if (characters.length < PASSWORD_LEAST) return "short";
  if (password.toLowerCase() === login.trim().toLowerCase()) return "login";
  if (new Set(characters).size === 1) return "one_character";
  if (/^\d+$/.test(password)) return "digits";
  return password === again ? null : "not_the_same";
}

const CODE_LENGTH = 8;

/** Return a pairing code as the service knows it: capitals, without what people put between; null while it is not whole. */
export function typedCode(text: string): string | null {
  // base 32 (RFC 4648) has the letter O and no zero
  const clean = text.toUpperCase().replace(/[\s\-.]/g, "").replace(/0/g, "O");
  return clean.length === CODE_LENGTH && /^[A-Z0-9]+$/.test(clean) ? clean : null;
}

/** Return a code as it is read out: two groups of four. */
export function codeInGroups(code: string): string {
  return code.length === CODE_LENGTH ? `${code.slice(0, 4)} ${code.slice(4)}` : code;
}

/** Return the value of `name` in an address fragment such as #link=CODE; with the name "" the whole fragment. */
export function inFragment(fragment: string, name: string): string | null {
  const text = fragment.replace(/^#/, "");
  if (name === "") return text === "" ? null : text;
  const pair = text.split("&").find((one) => one.startsWith(`${name}=`));
  const value = pair?.slice(name.length + 1) ?? "";
  return value === "" ? null : decodeURIComponent(value);
}

/** Return the page that one wanted before the door stood in the way, as the query of the door names it: a map of this service, and nothing else. */
export function pageBehind(query: string): string | null {
  const wanted = decodeURIComponent(/[?&]then=([^&]*)/.exec(query)?.[1] ?? "");
  return /^\/map\?[^#\\]*$/.test(wanted) ? wanted : null;
}

/** Return whole minutes left until a moment, 0 when it has passed. */
export function minutesLeft(untilIso: string, nowMs: number): number {
  return Math.max(0, Math.ceil((Date.parse(untilIso) - nowMs) / 60_000));
}

export interface Browser {
  userAgent: string;
  touchPoints: number;
  /** Opened from the home screen. */
  standalone: boolean;
}

/**
 * Tell whether this is an iPhone or iPad in a browser window: what it keeps may be emptied after seven days without a
 * visit, and an app on the home screen keeps its own, so that it has to be put there before it is paired.
 */
export function homeScreenFirst({ userAgent, touchPoints, standalone }: Browser): boolean {
  // an iPad calls itself a Macintosh; no Macintosh has a touch screen
  const apple = /iPad|iPhone|iPod/.test(userAgent) || (/Macintosh/.test(userAgent) && touchPoints > 1);
  return apple && !standalone;
}

const PIN_LENGTH = 6;

/** Return the digits entered so far with one more; never more than a PIN has. */
export function pinWith(entered: string, digit: string): string {
  return /^\d$/.test(digit) && entered.length < PIN_LENGTH ? entered + digit : entered;
}

/** Tell whether a PIN is whole. */
export function isPin(entered: string): boolean {
  return new RegExp(`^\\d{${PIN_LENGTH}}$`).test(entered);
}

/** Return a PIN made of random bytes; bytes that would favour some digits are passed over. */
export function pinOf(bytes: Iterable<number>): string {
  let pin = "";
  for (const byte of bytes) if (byte < 250) pin = pinWith(pin, String(byte % 10));
  return pin;
}

/** Tell whether an address is one by which a machine reaches itself alone: no tablet gets anywhere by it. */
export function isOwnMachine(address: string): boolean {
  const host = /^https?:\/\/(\[[^\]]*\]|[^/:?#]+)/i.exec(address)?.[1]?.toLowerCase() ?? "";
  return host === "localhost" || host.endsWith(".localhost") || /^127\.\d+\.\d+\.\d+$/.test(host) || host === "[::1]" || host === "0.0.0.0";
}
