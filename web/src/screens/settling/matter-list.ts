/** A section of matters that is read again without moving what somebody works on. */

import { fill, h } from "../../ui/dom";
import type { Card } from "./card";

export interface Entry {
  key: string;
  /** What the card is drawn from, as text: drawn again only when that is no longer the same. */
  print: string;
  draw(): Card;
}
export interface MatterList {
  box: HTMLElement;
  /** Show these; unless `anew`, cards that are worked on or were settled just now stay as they are. What is new comes in its place, or last unless it `moves` others. */
  update(entries: readonly Entry[], how: { anew: boolean; moves: boolean }): void;
  /** Bring one before the eyes and the keyboard, where it is there. */
  goTo(key: string): void;
}

/** Return an empty section, which is not seen until it holds something. */
export function matterList(title: string, lead: string): MatterList {
  let standing = new Map<string, { print: string; card: Card }>();
  const list = h("div", { class: "matter-list" });
  const box = h("section", { class: "matters", hidden: true }, h("h2", {}, title), lead === "" ? null : h("p", {}, lead), list);
  const begin = (entries: readonly Entry[]): void => {
    standing = new Map(entries.map(({ key, print, draw }) => [key, { print, card: draw() }]));
    fill(list, ...[...standing.values()].map(({ card }) => card.box));
  };
  const follow = (entries: readonly Entry[], moves: boolean): void => {
    const wanted = new Set(entries.map(({ key }) => key));
    for (const [key, { card }] of standing) {
      if (wanted.has(key) || card.keep()) continue;
      card.box.remove();
      standing.delete(key);
    }
    for (const [at, { key, print, draw }] of entries.entries()) {
      const old = standing.get(key);
      if (old !== undefined && (old.print === print || old.card.keep())) continue;
      const card = draw();
      const next = moves ? entries.slice(at + 1).find((later) => standing.has(later.key)) : undefined;
      if (old === undefined) list.insertBefore(card.box, standing.get(next?.key ?? "")?.card.box ?? null);
      else old.card.box.replaceWith(card.box);
      standing.set(key, { print, card });
    }
  };
  return {
    box,
    update(entries, { anew, moves }) {
      if (anew) begin(entries);
      else follow(entries, moves);
      box.hidden = standing.size === 0;
    },
    goTo(key) {
      const card = standing.get(key)?.card.box;
      if (card === undefined) return;
      card.tabIndex = -1;
      card.scrollIntoView({ block: "center" });
      card.focus({ preventScroll: true });
    },
  };
}
