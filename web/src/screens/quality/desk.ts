/** What every part of the screen of quality is given, and how a part reads and draws. */

import type { BlockSummary } from "../../core/contracts";
import type { Place, QualityPart } from "../../core/place";
import { QUALITY } from "../../core/quality-wording";
import { roleAt } from "../../core/who";
import { SHELL } from "../../core/wording";
import type { QualityApi } from "../../data/quality-api";
import { Problem, sentence, sentences } from "../../data/request";
import { fill, h } from "../../ui/dom";
import { emptyState } from "../../ui/notice";
import type { Context, Shown } from "../context";
import { newsOf } from "../news";
import { placeLink } from "../place-link";

export interface Desk {
  context: Context;
  api: QualityApi;
  /** Draws lots, cancels them and makes returns; an adviser only reads. */
  mayWrite: boolean;
  isManager: boolean;
}
export type Part = (root: HTMLElement, desk: Desk) => Shown;

/** Return the desk of whoever asks. */
export function deskOf(context: Context, api: QualityApi): Desk {
  const role = roleAt(context.who, context.farm.id);
  return { context, api, mayWrite: role === "manager" || role === "auditor", isManager: role === "manager" };
}

/** Return the place of a part, with what it is to begin with. */
export function placeOfPart(part: QualityPart, more: Partial<Place> = {}): Place {
  return { screen: "quality", block: null, part, ...more };
}

/** Return the place of one lot. */
export function placeOfLot(lot: string): Place {
  return { screen: "quality", block: null, lot };
}

/** Return a line that says only one block is shown, with the way to all of them; nothing where all are. */
export function ofOneBlock({ context }: Desk, part: QualityPart, blocks: readonly Pick<BlockSummary, "id" | "code">[]): HTMLElement | null {
  const { block } = context.place;
  if (block === null) return null;
  const code = blocks.find(({ id }) => id === block)?.code ?? "";
  return h("p", {}, QUALITY.onlyBlock(code), " ", placeLink(placeOfPart(part), QUALITY.allBlocks, context.go));
}

/** Return why nothing came of a form; which field of the request it was says nothing to people. */
export function because(error: unknown, noAnswer: string): string {
  return error instanceof Problem ? sentences([error.detail, error.todo, ...error.fields.map(({ what }) => what)]) : sentence(error, noAnswer);
}

export interface Drawn {
  content: readonly (HTMLElement | null)[];
  /** The service's cursor that was read up to; null when it is not known. */
  cursor: number | null;
}

/** Read, then draw; newer records too, but never under the reader's hand. `again` reads anew. */
export function readingPart<Reading>(
  root: HTMLElement,
  read: () => Promise<Reading>,
  draw: (reading: Reading, again: () => Promise<void>) => Drawn,
): Shown {
  const body = h("div", { class: "quality-content" }, h("p", {}, SHELL.loading));
  let cursor: number | null = null;
  let left = false;
  let visit = 0;
  const show = async (isUnasked = false): Promise<void> => {
    visit += 1;
    const mine = visit;
    try {
      const reading = await read();
      if (left || mine !== visit) return;
      news.draw(() => {
        const drawn = draw(reading, () => show());
        ({ cursor } = drawn);
        fill(body, ...drawn.content);
      }, isUnasked);
    } catch (error) {
      if (left || mine !== visit || isUnasked) return;
      fill(body, emptyState(sentence(error, QUALITY.offline), { label: SHELL.tryAgain, run: () => void show() }));
    }
  };
  const news = newsOf({ body, cursor: () => cursor, read: show });
  fill(root, news.line, body);
  void show();
  return {
    cursor: () => cursor,
    newer: news.newer,
    leave() {
      left = true;
      news.leave();
    },
  };
}
