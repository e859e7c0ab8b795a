/** What changed from one version of a brief to another, in words: point by point, what was and what is. */

import type { BriefDifference, BudTarget, Point, SaidBrief } from "./brief-contracts";
import { readingLanguage } from "./brief-points";
import { limitText } from "./brief-limits";
import { BEARING, cautionWord, COMPARE, EDITOR, KIND, languageWord, pictureWord, POINT_CLASS, TARGET_PART, UNIT } from "./briefs-wording";
import { measure } from "./numbers";

export interface ChangedLine {
  what: string;
  was: string;
  is: string;
}
export interface ChangedGroup {
  /** Key of the point; empty for the whole brief. */
  key: string;
  /** The point's sentence, or that it is about the whole brief. */
  title: string;
  lines: ChangedLine[];
}

/** Return a point's sentence in the language it was written in, without limits filled in. */
export function plainSentence({ sentences, key }: Point): string {
  return Object.values(sentences)[0] || key;
}

function targetWords(target: BudTarget): string {
  const parts = Object.entries(TARGET_PART).flatMap(([part, words]) => {
    const value = target[part as keyof BudTarget];
    return value === null ? [] : [`${words}: ${measure(value)}`];
  });
  return parts.length === 0 ? COMPARE.nothing : parts.join("; ");
}

function word(words: Readonly<Record<string, string>>, value: unknown): string {
  return words[String(value)] ?? String(value);
}

function valueWords(part: string, value: unknown, kind: Point["kind"] | undefined): string {
  if (value === null || value === "") return COMPARE.nothing;
  if (typeof value === "number") return kind === "ratio" ? `${limitText(value, kind)}\u00a0%` : measure(value);
  switch (part) {
    case "kind":
      return word(KIND, value);
    case "unit":
      return word(UNIT, value);
    case "point_class":
      return word(POINT_CLASS, value);
    case "habit":
      return word(BEARING, value);
    case "is_checked":
      return value === true ? EDITOR.checked : EDITOR.taught;
    case "is_heavy_setter":
      return value === true ? COMPARE.yes : COMPARE.no;
    case "picture":
      return pictureWord(String(value));
    case "cautions":
      return (value as string[]).map(cautionWord).join(", ") || COMPARE.nothing;
    case "bud_target":
      return targetWords(value as BudTarget);
    default:
      return String(value);
  }
}

/** Return what a brief says at a point, limits filled in; nothing where it has no such point. */
function saidAt({ content, texts }: SaidBrief, key: string): string {
  const at = content.points.findIndex((point) => point.key === key);
  const point = content.points[at];
  if (point === undefined) return "";
  return texts[readingLanguage(content)]?.points[at] || plainSentence(point);
}

function lineOf(difference: BriefDifference, before: SaidBrief, after: SaidBrief): ChangedLine {
  const { kind, part, language, point_key: key } = difference;
  if (kind === "point_added") return { what: COMPARE.added, was: COMPARE.nothing, is: saidAt(after, key) };
  if (kind === "point_removed") return { what: COMPARE.removed, was: saidAt(before, key), is: COMPARE.nothing };
  if (kind === "point_moved") return { what: COMPARE.place, was: String(difference.old), is: String(difference.new) };
  const what =
    part === "sentences"
      ? COMPARE.sentence(languageWord(language))
      : part === "notes"
        ? COMPARE.note(languageWord(language))
        : word(COMPARE.part, part);
  const kindIn = ({ content }: SaidBrief): Point["kind"] | undefined => content.points.find((point) => point.key === key)?.kind;
  return { what, was: valueWords(part, difference.old, kindIn(before)), is: valueWords(part, difference.new, kindIn(after)) };
}

/** Return the changes by point, in the order told: the whole brief first. */
export function changedGroups(differences: readonly BriefDifference[], before: SaidBrief, after: SaidBrief): ChangedGroup[] {
  const groups = new Map<string, ChangedGroup>();
  for (const difference of differences) {
    const key = difference.point_key;
    const title = key === "" ? COMPARE.whole : saidAt(after, key) || saidAt(before, key);
    const group = groups.get(key) ?? { key, title, lines: [] };
    group.lines.push(lineOf(difference, before, after));
    groups.set(key, group);
  }
  return [...groups.values()];
}
