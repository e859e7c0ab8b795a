/** The points of a brief in the order of work: moved, taken out and put back, and opened to be changed. */

import type { Point } from "../../core/brief-contracts";
import { moved, without, withPoint } from "../../core/brief-points";
import { EDITOR } from "../../core/briefs-wording";
import { fill, h } from "../../ui/dom";
import type { Desk } from "./desk";
import { pointCard, type PointCard } from "./point-card";

export interface PointsPart {
  box: HTMLElement;
  /** Open a point at one of its fields. */
  open(key: string, part: string): void;
}

/** Return the part. */
export function pointsPart(desk: Desk, pictures: readonly string[]): PointsPart {
  const list = h("ol", { class: "plain-list point-list" });
  /** Stands where a point was taken out, until something else is done with the points. */
  let undo: { at: number; box: HTMLElement } | null = null;
  const spoken = h("p", { class: "unseen", role: "status" });
  const cards = new Map<string, PointCard>();
  let order = "";
  const points = (): readonly Point[] => desk.content().points;

  const move = (key: string, by: -1 | 1): void => {
    const now = moved(points(), key, by);
    undo = null;
    desk.change({ points: now });
    cards.get(key)?.focusMove(by); // the card lost the keyboard on its way
    fill(spoken, EDITOR.movedTo(now.findIndex((point) => point.key === key) + 1, now.length));
  };
  const remove = (key: string): void => {
    const at = points().findIndex((point) => point.key === key);
    const point = points()[at];
    if (point === undefined) return;
    const putBack = (): void => {
      undo = null;
      desk.change({ points: withPoint(points(), point, Math.min(at, points().length)) });
      cards.get(key)?.focus();
    };
    const button = h("button", { type: "button", on: { click: putBack } }, EDITOR.putBack);
    undo = { at, box: h("li", { class: "point-undo" }, h("p", {}, EDITOR.removed(at + 1, cards.get(key)?.words() ?? "")), button) };
    desk.change({ points: without(points(), key) });
    button.focus();
  };
  const draw = (): void => {
    const now = points();
    const keys = now.map(({ key }) => key);
    for (const key of cards.keys()) if (!keys.includes(key)) cards.delete(key);
    now.forEach((point, at) => {
      const card = cards.get(point.key) ?? pointCard({ desk, pictures, key: point.key, move, remove });
      cards.set(point.key, card);
      card.draw(point, at + 1, now.length);
    });
    // the same cards in the same order stay where they are: a field in them may be written in
    const wanted = `${keys.join()} ${undo?.at ?? ""}`;
    if (wanted === order) return;
    order = wanted;
    const boxes = keys.length === 0 && undo === null ? [h("li", {}, EDITOR.noPoints)] : keys.map((key) => cards.get(key)?.box ?? null);
    if (undo !== null) boxes.splice(undo.at, 0, undo.box);
    fill(list, ...boxes);
  };
  desk.listen(draw);
  draw();
  return {
    box: h("section", {}, h("h2", {}, EDITOR.points), list, spoken),
    open: (key, part) => cards.get(key)?.open(part),
  };
}
