/** Dragging the end of a row to a tree, with a finger that also scrolls. */

const SIDEWAYS_PX = 12;

/**
 * Let `handle` be dragged along `ground`: `moved` hears the position under it, `dropped` the last one, `left` a drag
 * that was given up, which is one that ends behind where it began.
 */
export function draggable(
  handle: HTMLElement,
  ground: Element,
  at: (xPx: number, widthPx: number) => number,
  /** 1 where the crew walks to the right, -1 to the left. */
  onward: () => 1 | -1,
  heard: { begun(): void; moved(position: number): void; dropped(position: number): void; left(): void },
): void {
  let dragging: number | null = null;
  let from = 0;
  let begun = false;
  const position = (event: PointerEvent): number => {
    const frame = ground.getBoundingClientRect();
    return at(event.clientX - frame.left, frame.width);
  };
  handle.addEventListener("pointerdown", (event) => {
    if (event.button !== 0) return;
    dragging = event.pointerId;
    from = event.clientX;
    begun = false;
    heard.begun();
    handle.setPointerCapture(event.pointerId);
  });
  handle.addEventListener("pointermove", (event) => {
    if (dragging !== event.pointerId) return;
    // a thumb that scrolls down the edge moves sideways too, a little
    begun = begun || Math.abs(event.clientX - from) > SIDEWAYS_PX;
    if (begun) heard.moved(position(event));
  });
  handle.addEventListener("pointerup", (event) => {
    if (dragging !== event.pointerId) return;
    dragging = null;
    if (!begun) return;
    if ((event.clientX - from) * onward() < -SIDEWAYS_PX) heard.left();
    else heard.dropped(position(event));
  });
  handle.addEventListener("pointercancel", () => {
    dragging = null;
    if (begun) heard.left();
  });
}
