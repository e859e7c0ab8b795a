/** Reads what a part of the screen needs, then draws it; where the service does not answer, it says so and offers to try again. */

import { BRIEFS, EDITOR } from "../../core/briefs-wording";
import { SHELL } from "../../core/wording";
import { Problem, sentence } from "../../data/request";
import { fill, h } from "../../ui/dom";
import { emptyState } from "../../ui/notice";

/** Fill `box` from what `read` answers; where it is not there at all, `instead` leads on. */
export async function drawRead<Answer>(box: HTMLElement, read: () => Promise<Answer>, draw: (answer: Answer) => void, instead: (() => void) | null = null): Promise<void> {
  fill(box, h("p", {}, SHELL.loading));
  let answer: Answer;
  try {
    answer = await read();
  } catch (error) {
    const isGone = instead !== null && error instanceof Problem && error.status === 404;
    const empty = isGone
      ? emptyState(BRIEFS.gone, { label: EDITOR.back, run: instead })
      : emptyState(sentence(error, SHELL.noAnswer), { label: SHELL.tryAgain, run: () => void drawRead(box, read, draw, instead) });
    fill(box, empty);
    return;
  }
  draw(answer);
}
