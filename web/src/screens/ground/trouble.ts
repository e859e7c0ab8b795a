/** What is said when the ground cannot be as it was drawn. */

import { GROUND } from "../../core/ground-wording";
import { SHELL } from "../../core/wording";
import { Problem, sentence } from "../../data/request";

/** Return the sentence; of an outline that cannot be, how one is drawn that can. */
export function trouble(error: unknown): string {
  return error instanceof Problem && error.kind === "outline" ? GROUND.outlineCrosses : sentence(error, SHELL.noAnswer);
}
