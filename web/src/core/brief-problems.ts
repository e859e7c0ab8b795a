/** What keeps a brief from being published, put beside the point that it concerns. */

import type { BriefContent, BriefProblem } from "./brief-contracts";
import { language } from "./language";

export interface PlacedProblem {
  /** Key of the point; null where it is the whole brief's. */
  key: string | null;
  /** Field that is to be mended, as the model names it. */
  part: string;
  what: string;
}

/** Return the problems with the points they are of. `content` is the one that the service looked at. */
export function placedProblems(problems: readonly BriefProblem[], content: BriefContent): PlacedProblem[] {
  return problems.map(({ where, what: english, texts }) => {
    const what = texts?.[language()] ?? english;
    const found = /^point (\d+), (\w+)$/.exec(where);
    const point = found === null ? undefined : content.points[Number(found[1]) - 1];
    return point === undefined ? { key: null, part: where, what } : { key: point.key, part: found?.[2] ?? "", what };
  });
}
