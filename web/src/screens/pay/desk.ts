/** What every part of the screen of pay is given, and how a part reads and draws. Nothing of it is kept on the device. */

import { PAY } from "../../core/pay-wording";
import { draftOf, type Draft } from "../../core/pay-drafts";
import { numberOfHead } from "../../core/pay-people";
import type { PayDays, PayPart } from "../../core/pay-place";
import type { Place } from "../../core/place";
import { METHOD, SHELL } from "../../core/wording";
import type { Method } from "../../core/contracts";
import type { PayApi } from "../../data/pay-api";
import { sentence } from "../../data/request";
import { fill, h } from "../../ui/dom";
import { emptyState } from "../../ui/notice";
import type { Context, Shown } from "../context";
import { newsOf } from "../news";

export interface Desk {
  context: Context;
  api: PayApi;
  farm: string;
  today: string;
  /** The day that the address asks for, null where it names none. */
  day: string | null;
  /** The last day that it asks for beside it, null where it is the week of that day. */
  until: string | null;
  /** Keep the days that are shown in the address, and in the ways to the other parts: whoever comes back finds them; null: none. The crew stays that of the address where none is said. */
  keep(part: PayPart, days: PayDays | null, crew?: string | null): void;
  /** Follow what the service says of newer records, instead of what was followed before. */
  follow(shown: Pick<Shown, "cursor" | "newer" | "leave">): void;
  /** What is kept. */
  kept(): PayDays | null;
  /** Whether the part is still shown: an answer that comes later is not drawn. */
  isLeft(): boolean;
}
export type Part = (root: HTMLElement, desk: Desk) => void;

/** Return what waits to be saved of a form. */
export function deskDraft<Typed>({ context, farm }: Desk, form: string): Draft<Typed> {
  return draftOf<Typed>({ login: context.who.login ?? "", farm, form });
}

/** Return a button that is there while something waits to be saved. */
export function dropButton(drop: () => void): HTMLButtonElement {
  return h("button", { type: "button", hidden: true, on: { click: drop } }, PAY.drop);
}

/** Return the place of a part. */
export function placeOfPart(part: PayPart, more: Partial<Place> = {}): Place {
  return { screen: "pay", block: null, part, ...more };
}

/** Return what a crew is called. */
export function crewName({ context }: Desk, id: string | null): string {
  return context.farm.crews.find((crew) => crew.id === id)?.name ?? PAY.allCrews;
}

/** Return what somebody is called; of a head count nobody has a name. */
export function personName({ context }: Desk, id: string): string {
  const head = numberOfHead(id);
  if (head !== null) return PAY.head(head);
  return context.farm.people.find((person) => person.id === id)?.name ?? id.slice(0, 8);
}

/** Return what a kind of trees is called. */
export function workName({ context }: Desk, variety: string | null, method: Method | null): string {
  const name = variety === null ? PAY.anyVariety : (context.farm.varieties.find(({ id }) => id === variety)?.name ?? variety.slice(0, 8));
  return PAY.rateOf(name, method === null ? PAY.anyMethod : METHOD[method].toLowerCase());
}

/** Return an order of crews or of people by their names, those without one at the end. */
export function byName(desk: Desk): (one: string, other: string) => number {
  const { crews, people } = desk.context.farm;
  const key = (id: string): string => [...crews, ...people].find((named) => named.id === id)?.name ?? `\uffff${id}`;
  return (one, other) => key(one).localeCompare(key(other));
}

const WEEKDAYS = Object.keys(PAY.weekday);

/** Return the day that weeks of pay begin on, 0 for Monday, as the rules say; Monday where nobody said. */
export async function weekStart({ api, farm }: Desk): Promise<number> {
  const { rules } = await api.rules(farm);
  return rules === null ? 0 : Math.max(0, WEEKDAYS.indexOf(rules.week_starts));
}

/** Read, then draw; what cannot be read says so, and how to try again. Where nobody asked for it, what stands there stays then. */
export async function reading<Reading>(
  box: HTMLElement,
  desk: Desk,
  read: () => Promise<Reading>,
  draw: (reading: Reading) => void,
  isUnasked = false,
): Promise<void> {
  if (box.childElementCount === 0) fill(box, h("p", {}, SHELL.loading));
  try {
    const found = await read();
    if (!desk.isLeft()) draw(found);
  } catch (error) {
    if (desk.isLeft() || isUnasked) return;
    fill(box, emptyState(sentence(error, SHELL.noAnswer), { label: SHELL.tryAgain, run: () => void reading(box, desk, read, draw) }));
  }
}

export interface Following {
  /** Where it is told that there is something newer. */
  line: HTMLElement;
  /** Draw what was read up to a cursor; what came by itself and is the same as before is not drawn again. */
  draw(reading: { cursor?: number }, isUnasked: boolean, run: () => void): void;
}

/** Let a part follow newer work in `box`: drawn by itself while no hand is on it, told above it where one is. */
export function following(box: HTMLElement, desk: Desk, read: (isUnasked: boolean) => Promise<void>): Following {
  let cursor: number | null = null;
  let print = "";
  const news = newsOf({ body: box, cursor: () => cursor, read });
  desk.follow({ cursor: () => cursor, newer: news.newer, leave: news.leave });
  return {
    line: news.line,
    draw({ cursor: upTo = null, ...told }, isUnasked, run) {
      const now = JSON.stringify(told);
      if (isUnasked && now === print) return void (cursor = upTo);
      news.draw(() => {
        cursor = upTo;
        print = now;
        run();
      }, isUnasked);
    },
  };
}

/** Return a table in a box that scrolls by itself where it is wider than the page; after the columns of words come those of figures. */
export function table(caption: string, head: readonly string[], bodies: readonly HTMLElement[], wordColumns = 1): HTMLElement {
  const columns = h("tr", {}, ...head.map((word, at) => h("th", { scope: "col", ...(at >= wordColumns && { class: "pay-figure" }) }, word)));
  return h(
    "div",
    { class: "pay-scroll", tabindex: 0, role: "region", "aria-label": caption },
    h("table", {}, h("caption", {}, caption), h("thead", {}, columns), ...bodies),
  );
}

/** Return a cell of figures. */
export function figure(text: string): HTMLElement {
  return h("td", { class: "pay-figure" }, text);
}
