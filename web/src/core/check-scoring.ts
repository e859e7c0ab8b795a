/**
 * Does a tree meet its brief? What was found against the limits of the points.
 *
 * The same rules as in `orchardmap.pruning.scoring`; both are held to `tests/vectors/checks`.
 */

import type { Point } from "./brief-contracts";
import type { Finding, TreeVerdict } from "./contracts";

/** What of a point decides. */
export type ScoredPoint = Pick<Point, "key" | "kind" | "low" | "high" | "point_class" | "is_checked">;
type Found = Finding[1];
type Findings = readonly Finding[];

/** Tell whether `found` meets the point; limits are inclusive. */
export function isMet(point: ScoredPoint, found: Found): boolean {
  if (typeof found === "boolean") return found;
  return (point.low === null || found >= point.low) && (point.high === null || found <= point.high);
}

/** Return the keys of the checked points that something was found for, in the brief's order. */
export function judgedPoints(points: readonly ScoredPoint[], findings: Findings): string[] {
  return judged(points, findings).map(({ point }) => point.key);
}

/** Return the keys of the checked points that the tree does not meet, in the brief's order; keys that are not known are ignored. */
export function failedPoints(points: readonly ScoredPoint[], findings: Findings): string[] {
  return missed(points, findings).map(({ key }) => key);
}

/** Return the verdict on a tree: faulty by any critical or major point, minor by minor ones alone. */
export function treeVerdict(points: readonly ScoredPoint[], findings: Findings): TreeVerdict {
  const failed = missed(points, findings);
  if (failed.some(({ point_class }) => point_class !== "minor")) return "faulty";
  return failed.length === 0 ? "meets" : "minor";
}

function missed(points: readonly ScoredPoint[], findings: Findings): ScoredPoint[] {
  return judged(points, findings).flatMap(({ point, told }) => (told.every((found) => isMet(point, found)) ? [] : [point]));
}

/** Return each checked point that something was found for, with all that was: a number for yes or no is nothing. */
function judged(points: readonly ScoredPoint[], findings: Findings): { point: ScoredPoint; told: Found[] }[] {
  return points.flatMap((point) => {
    const told = findings.flatMap(([key, found]) => (key === point.key && canBeOf(point, found) ? [found] : []));
    return point.is_checked && told.length > 0 ? [{ point, told }] : [];
  });
}

function canBeOf({ kind }: ScoredPoint, found: Found): boolean {
  return typeof found === "boolean" ? kind === "yes_no" : kind !== "yes_no" && Number.isFinite(found);
}
