/** Reads what a part of the screen needs, then draws it; where the service does not answer, it says so and offers to try again. */

import { SHELL } from "../../core/wording";
import { sentence } from "../../data/request";
import { fill, h } from "../../ui/dom";
import { emptyState } from "../../ui/notice";

/** Fill `box` from what `read` answers. */
export async function drawRead<Answer>(box: HTMLElement, read: () => Promise<Answer>, draw: (answer: Answer) => void): Promise<void> {
  fill(box, h("p", {}, SHELL.loading));
  let answer: Answer;
  try {
    answer = await read();
  } catch (error) {
    fill(box, emptyState(sentence(error, SHELL.noAnswer), { label: SHELL.tryAgain, run: () => void drawRead(box, read, draw) }));
    return;
  }
  draw(answer);
}
