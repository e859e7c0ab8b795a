/** The points of a brief while they are edited: each function returns what a change makes of them, and leaves all else as it was. */

import type { BriefContent, Point, PointKind, PointUnit } from "./brief-contracts";
import { language } from "./language";

interface KindUses {
  low: boolean;
  high: boolean;
  units: readonly [PointUnit, ...PointUnit[]];
}
/** Which limits and units a kind of point is measured by; what is wrong all the same the service says. */
export const KIND_USES: Record<PointKind, KindUses> = {
  yes_no: { low: false, high: false, units: [""] },
  count: { low: true, high: true, units: ["limbs", "buds", "cuts", ""] },
  ratio: { low: false, high: true, units: [""] },
  at_least: { low: true, high: false, units: ["cm"] },
  at_most: { low: false, high: true, units: ["cm"] },
  angle: { low: true, high: true, units: ["deg"] },
};

/** Return the languages that a brief is written in, the first one first. */
export function languagesOf({ points }: BriefContent): string[] {
  return [...new Set(points.flatMap(({ sentences }) => Object.keys(sentences)))];
}

/** Return the language to read a brief in: the one spoken here where it is written in that, else its first. */
export function readingLanguage(content: BriefContent): string {
  const written = languagesOf(content);
  return written.includes(language()) ? language() : (written[0] ?? "en");
}

/** Return the languages to print a brief in: those it is written in, of the ones that cards are made in; all of these where there is none. */
export function cardLanguages(content: BriefContent, made: readonly string[]): readonly string[] {
  const both = languagesOf(content).filter((code) => made.includes(code));
  return both.length === 0 ? made : both;
}

/** Return the points with one moved by so many places; at either end it stays. */
export function moved(points: readonly Point[], key: string, by: number): readonly Point[] {
  const from = points.findIndex((point) => point.key === key);
  const to = from + by;
  const point = points[from];
  if (point === undefined || to < 0 || to >= points.length) return points;
  const others = points.filter((_, at) => at !== from);
  return [...others.slice(0, to), point, ...others.slice(to)];
}

/** Return the points without one. */
export function without(points: readonly Point[], key: string): readonly Point[] {
  return points.filter((point) => point.key !== key);
}

/** Return the points with one more, at a place counted from 0. */
export function withPoint(points: readonly Point[], point: Point, at: number): readonly Point[] {
  return [...points.slice(0, at), point, ...points.slice(at)];
}

/** Return the points with one changed. */
export function changed(points: readonly Point[], key: string, change: Partial<Point>): readonly Point[] {
  return points.map((point) => (point.key === key ? { ...point, ...change } : point));
}

/** Return what becomes of limits and unit when a point is of another kind: what that one does not use is cleared. */
export function ofKind(point: Point, kind: PointKind): Pick<Point, "kind" | "low" | "high" | "unit"> {
  const { low, high, units } = KIND_USES[kind];
  // a share, a length and a number of limbs have nothing to do with one another
  const isAlike = (["at_least", "at_most"].includes(kind) && point.unit === "cm") || kind === point.kind;
  const [from, to] = isAlike ? [point.low ?? point.high, point.high ?? point.low] : [null, null];
  const unit = isAlike && units.includes(point.unit) ? point.unit : units[0];
  return { kind, low: low ? from : null, high: high ? to : null, unit };
}

type Measured = Pick<Point, "kind" | "low" | "high" | "unit">;

/**
 * Return a function as `ofKind` that gives a kind back the limits and unit it had: whoever walks through the kinds by
 * keyboard comes by each of them.
 */
export function kindsOf(): (point: Point, kind: PointKind) => Measured {
  const had = new Map<PointKind, Measured>();
  return (point, kind) => {
    const { kind: before, low, high, unit } = point;
    had.set(before, { kind: before, low, high, unit });
    return had.get(kind) ?? ofKind(point, kind);
  };
}

const KEY_LENGTH = 40;

/** Return a key that no other point has, made from what the point says: lower case, digits, hyphens. */
export function ownKey(sentence: string, taken: readonly string[]): string {
  const plain = sentence.normalize("NFD").replace(/\p{M}/gu, "").toLowerCase();
  const words = plain.match(/[a-z0-9]+/g) ?? [];
  let key = "";
  for (const word of words) {
    const longer = key === "" ? word.slice(0, KEY_LENGTH) : `${key}-${word}`;
    if (longer.length > KEY_LENGTH) break;
    key = longer;
  }
  const first = key === "" ? "own-point" : key;
  let free = first;
  for (let n = 2; taken.includes(free); n += 1) free = `${first}-${n}`;
  return free;
}

/** Return a new point that says a sentence in the first of these languages, a yes or no; the other languages are still to be written. */
export function ownPoint(sentence: string, languages: readonly string[], picture: string, taken: readonly string[]): Point {
  const [written = "en", ...others] = languages;
  return {
    key: ownKey(sentence, taken),
    sentences: { [written]: sentence, ...Object.fromEntries(others.map((other) => [other, ""])) },
    picture,
    kind: "yes_no",
    low: null,
    high: null,
    unit: "",
    point_class: "major",
    is_checked: true,
    source: "common practice",
  };
}

/** Return notes with one changed; a note of blanks alone is none. */
export function withNote({ notes }: BriefContent, code: string, text: string): BriefContent["notes"] {
  const all = { ...notes, [code]: text };
  return Object.fromEntries(Object.entries(all).filter(([, note]) => note.trim() !== ""));
}

/** Return cautions with one added or taken out, in the order in which they are listed. */
export function withCaution({ cautions }: BriefContent, key: string, isOn: boolean, order: readonly string[]): readonly string[] {
  const wanted = isOn ? [...cautions, key] : cautions.filter((one) => one !== key);
  const place = (one: string): number => (order.includes(one) ? order.indexOf(one) : order.length);
  return [...new Set(wanted)].sort((one, other) => place(one) - place(other));
}
