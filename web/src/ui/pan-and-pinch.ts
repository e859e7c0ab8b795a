/** A picture that fingers move and zoom: one drags it, two draw it nearer or farther. */

interface Point {
  x: number;
  y: number;
}
export interface PanHears {
  /** Dragged by so many pixels. */
  moved(dx_px: number, dy_px: number): void;
  /** Two fingers: what lay at `from` lies at `to` now, so many times as far. */
  pinched(factor: number, from: Point, to: Point): void;
}

/** A finger that moves less than this was still. */
const STILL_PX = 8;

/** Listen to fingers on a picture. Returns whether the last touch was more than a tap. */
export function panAndPinch(picture: SVGSVGElement, hears: PanHears): () => boolean {
  const fingers = new Map<number, Point>();
  let far_px = 0;
  const lift = ({ pointerId }: PointerEvent): void => void fingers.delete(pointerId);
  picture.addEventListener("pointerdown", ({ pointerId, isPrimary, clientX: x, clientY: y }) => {
    if (isPrimary) fingers.clear(); // one that was lifted elsewhere was not heard of
    far_px = fingers.size === 0 ? 0 : Infinity;
    fingers.set(pointerId, { x, y });
  });
  picture.addEventListener("pointermove", (event) => {
    const before = fingers.get(event.pointerId);
    if (before === undefined) return;
    if (event.buttons === 0) return lift(event);
    const now = { x: event.clientX, y: event.clientY };
    const other = [...fingers].find(([id]) => id !== event.pointerId)?.[1];
    fingers.set(event.pointerId, now);
    if (other === undefined) {
      far_px += Math.hypot(now.x - before.x, now.y - before.y);
      hears.moved(now.x - before.x, now.y - before.y);
      return;
    }
    const apart = (one: Point): number => Math.max(1, Math.hypot(one.x - other.x, one.y - other.y));
    const between = (one: Point): Point => ({ x: (one.x + other.x) / 2, y: (one.y + other.y) / 2 });
    hears.pinched(apart(before) / apart(now), between(before), between(now));
  });
  for (const name of ["pointerup", "pointercancel"] as const) picture.addEventListener(name, lift);
  const wasMoved = (): boolean => far_px > STILL_PX;
  // before what lies in the picture hears of it: a drag that ends on a row chooses none
  picture.addEventListener("click", (event) => {
    if (event.detail > 0 && wasMoved()) event.stopPropagation();
  }, true);
  return wasMoved;
}
