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

/** What a part draws, and the service's cursor that it was read up to; null when that is not known. */
export type Read<Told> = Told & { cursor: number | null };

/**
 * Read, then draw; newer records too, but never under the reader's hand. `again` reads anew.
 *
 * A part reads what it draws and no more: what came by itself and is the same as before is not drawn again, and nothing moves.
 */
export function readingPart<Told extends object>(
  root: HTMLElement,
  read: () => Promise<Read<Told>>,
  draw: (told: Told, again: () => Promise<void>) => readonly (HTMLElement | null)[],
): Shown {
  const body = h("div", { class: "quality-content" }, h("p", {}, SHELL.loading));
  let cursor: number | null = null;
  /** What is drawn, as it was read. */
  let print = "";
  let left = false;
  let visit = 0;
  /** What stands there already stays as it is: put in anew it would lose what is typed, and where it was scrolled to. */
  const put = (content: readonly (HTMLElement | null)[]): void => {
    const parts = content.filter((one) => one !== null);
    const isThere = parts.length === body.childNodes.length && parts.every((one, at) => body.childNodes[at] === one);
    if (!isThere) fill(body, ...parts);
  };
  const show = async (isUnasked = false): Promise<void> => {
    visit += 1;
    const mine = visit;
    try {
      const { cursor: upTo, ...told } = await read();
      if (left || mine !== visit) return;
      const now = JSON.stringify(told);
      if (isUnasked && now === print) return void (cursor = upTo);
      news.draw(() => {
        cursor = upTo;
        print = now;
        put(draw(told as unknown as Told, () => show()));
      }, isUnasked);
    } catch (error) {
      if (left || mine !== visit || isUnasked) return;
      print = "";
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
