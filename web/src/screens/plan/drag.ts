/** Dragging a block with the mouse or a pen. A finger scrolls; it picks a block and then says where to. */

import type { PlanDesk } from "./desk";

const BEGINS_PX = 6;
const LANES = "[data-lane]";

/** Return the crew under a point (null: nobody) and the place there; undefined beside all lanes. */
function placeAt(x: number, y: number, dragged: HTMLElement, { plan }: PlanDesk): { crew: string | null; at: number } | undefined {
  const lane = document.elementsFromPoint(x, y).flatMap((one) => one.closest<HTMLElement>(LANES) ?? [])[0];
  if (lane === undefined) return undefined;
  const others = [...lane.querySelectorAll<HTMLElement>("[data-block]")].filter((one) => one !== dragged);
  const before = others.filter((one) => {
    const { left, width, bottom, top } = one.getBoundingClientRect();
    // on a lane the days run to the right, whatever level a bar stands on; the tray has lines of text
    return lane.dataset["lane"] === "" ? bottom < y || (top <= y && left + width / 2 < x) : left + width / 2 < x;
  });
  const crew = lane.dataset["lane"] === "" ? null : (lane.dataset["lane"] ?? null);
  // bars stand in the order in which they are done, which closures can make another than that of the queue
  const queue = (crew === null ? plan.open : (plan.queues.find(({ crew_id }) => crew_id === crew)?.blocks ?? [])).filter((one) => one !== dragged.dataset["block"]);
  return { crew, at: queue.indexOf(before.at(-1)?.dataset["block"] ?? "") + 1 };
}

/** Let a block's button be dragged to another place. */
export function draggable(button: HTMLElement, block: string, desk: PlanDesk): void {
  button.addEventListener("pointerdown", (down: PointerEvent) => {
    if (down.pointerType === "touch" || down.button !== 0) return;
    let isMoved = false;
    const move = (event: PointerEvent): void => {
      const [dx, dy] = [event.clientX - down.clientX, event.clientY - down.clientY];
      isMoved ||= Math.hypot(dx, dy) > BEGINS_PX;
      if (!isMoved) return;
      button.classList.add("dragged");
      button.style.translate = `${dx}px ${dy}px`;
    };
    const end = (event: PointerEvent): void => {
      button.removeEventListener("pointermove", move);
      button.removeEventListener("pointerup", end);
      button.removeEventListener("pointercancel", end);
      button.classList.remove("dragged");
      button.style.translate = "";
      const to = isMoved && event.type === "pointerup" ? placeAt(event.clientX, event.clientY, button, desk) : undefined;
      // the click that follows would pick what was let go
      if (isMoved) button.addEventListener("click", (click) => click.stopImmediatePropagation(), { once: true, capture: true });
      if (to !== undefined) desk.move(block, to);
    };
    button.setPointerCapture(down.pointerId);
    button.addEventListener("pointermove", move);
    button.addEventListener("pointerup", end);
    button.addEventListener("pointercancel", end);
  });
}
