/** What of a brief was read on this tablet, so that the next version says what is new in it. */

import type { BriefVersion, Hazard, TimingNotice } from "./brief-contracts";

const PARTS = ["target", "notes", "cautions"] as const;
/** Something of a brief beside its points; `order` is that of the points. */
export type BriefPart = (typeof PARTS)[number] | "order";

/** A version as it was read: of each point what tells a changed one, and its sentence in the language read. */
export interface ReadBrief {
  version: number;
  points: [key: string, print: string, sentence: string][];
  parts: Record<(typeof PARTS)[number], string>;
}
export interface BriefNews {
  /** Keys of the points that are new or changed. */
  points: ReadonlySet<string>;
  /** Sentences that were read and are no longer in it. */
  gone: readonly string[];
  parts: readonly BriefPart[];
}

/** Return what tells a text from another one: FNV-1a, 32 bits. */
function print(value: unknown): string {
  let hash = 0x811c9dc5;
  for (const sign of JSON.stringify(value)) hash = Math.imul(hash ^ (sign.codePointAt(0) ?? 0), 0x01000193);
  return (hash >>> 0).toString(36);
}

/** Return what is remembered of a version once it was read in a language. */
export function readOf({ version, content, texts }: BriefVersion, language: string): ReadBrief {
  const said = Object.entries(texts).map(([code, text]) => [code, text.cautions]);
  return {
    version,
    points: content.points.map(({ key, sentences, picture, kind, low, high, unit, point_class, is_checked }, at) => {
      const rule = [sentences, picture, kind, low, high, unit, point_class, is_checked];
      return [key, print(rule), texts[language]?.points[at] ?? ""];
    }),
    parts: { target: print(content.bud_target), notes: print(content.notes), cautions: print(said) },
  };
}

/** Return what was kept as text, or null when it is none of ours. */
export function readFrom(text: string | null): ReadBrief | null {
  try {
    const kept = JSON.parse(text ?? "") as Partial<ReadBrief> | null;
    return typeof kept?.version === "number" && Array.isArray(kept.points) && typeof kept.parts === "object" ? (kept as ReadBrief) : null;
  } catch {
    return null;
  }
}

/** Return what is in a version and was not in the one that was read. */
export function newsIn(brief: BriefVersion, read: ReadBrief): BriefNews {
  const now = readOf(brief, "");
  const before = new Map(read.points.map(([key, rule]) => [key, rule]));
  const after = new Set(now.points.map(([key]) => key));
  const both = (points: ReadBrief["points"]): string => points.flatMap(([key]) => (before.has(key) && after.has(key) ? [key] : [])).join();
  const parts: BriefPart[] = PARTS.filter((part) => now.parts[part] !== read.parts[part]);
  if (both(now.points) !== both(read.points)) parts.push("order");
  return {
    points: new Set(now.points.flatMap(([key, rule]) => (before.get(key) === rule ? [] : [key]))),
    gone: read.points.flatMap(([key, , sentence]) => (after.has(key) ? [] : [sentence])),
    parts,
  };
}

/** Tell whether a version must be read: none was, or an older one, or another of the same number (a database put back). */
export function isUnread(brief: BriefVersion, read: ReadBrief | null): boolean {
  if (read === null || brief.version > read.version) return true;
  if (brief.version < read.version) return false; // this tablet was shown a newer one than it holds
  const { points, gone, parts } = newsIn(brief, read);
  return points.size + gone.length + parts.length > 0;
}

/** Return the language to show a brief in: the one picked, else the first of those it is written in; null when in none. */
export function languageOf(texts: Readonly<Record<string, unknown>>, picked: string): string | null {
  return picked in texts ? picked : (Object.keys(texts)[0] ?? null);
}

/** Return what warns in a block on a day: its hazards, then what its weather calls for on that day. */
export function hazardsOn(day: string, hazards: readonly Hazard[], timing: readonly TimingNotice[]): Hazard[] {
  const called = timing.filter(({ from, until }) => from <= day && day <= until);
  return [...hazards, ...called.map(({ key, texts }) => ({ key, rows: [], texts }))];
}

const firstText = ({ texts }: Hazard): string => Object.values(texts)[0] ?? "";

/** Return what is remembered of warnings once they were read. */
export function hazardsRead(hazards: readonly Hazard[]): string {
  return JSON.stringify(hazards.map(firstText));
}

/**
 * Return those of the warnings that are not among the ones that were read.
 *
 * The last of a block's hazards ends with the sentence that defers to the law: one that goes or comes behind another makes that one no news.
 */
export function newHazards(hazards: readonly Hazard[], read: string | null): Hazard[] {
  const known = textsIn(read);
  return hazards.filter((one) => !known.some((text) => text.startsWith(firstText(one)) || firstText(one).startsWith(text)));
}

/** Sentences kept of the cautions that were read: more than a farm's languages and briefs hold. */
const MOST_CAUTIONS = 200;

/** Return what is remembered of cautions once these were read too, the newest last. */
export function cautionsRead(cautions: readonly string[], read: string | null): string {
  const before = textsIn(read).filter((text) => !cautions.includes(text));
  return JSON.stringify([...before, ...cautions].slice(-MOST_CAUTIONS));
}

/** Tell whether each of these cautions was read on this tablet in these very words: in another language they were not. */
export function areRead(cautions: readonly string[], read: string | null): boolean {
  const known = new Set(textsIn(read));
  return cautions.every((text) => known.has(text));
}

function textsIn(read: string | null): string[] {
  try {
    const kept: unknown = JSON.parse(read ?? "[]");
    return Array.isArray(kept) ? kept.map(String).filter((text) => text !== "") : [];
  } catch {
    return [];
  }
}
