/** Limits of points as advisers type and read them. Shares are typed in percent; all else in the point's own unit. */

import type { PointKind } from "./brief-contracts";
import { measureText, typedMeasure } from "./typed-measure";

const PERCENT = 100;
const PLACES = 1e6;

/** Return a limit as it stands in its field; nothing where there is none. */
export function limitText(limit: number | null, kind: PointKind): string {
  if (limit === null) return "";
  // a share of 0.07 is 7.000000000000001 percent in binary
  return measureText(kind === "ratio" ? Math.round(limit * PERCENT * PLACES) / PLACES : limit);
}

/** Return the limit typed, null where the field is empty, undefined where it holds no number. */
export function typedLimit(text: string, kind: PointKind): number | null | undefined {
  if (text.trim() === "") return null;
  const value = typedMeasure(text);
  if (value === null) return undefined;
  return kind === "ratio" ? value / PERCENT : value;
}
