/** A card from the service in a frame where nothing runs, as wide as its paper and shrunk to the place there is. */

import type { CardSize } from "../../data/briefs-api";
import { PREVIEW } from "../../core/briefs-wording";
import { h } from "../../ui/dom";

/** ISO 216 widths in CSS pixels: 210 mm and 148 mm at 96 to the inch. */
const WIDTH_PX: Record<CardSize, number> = { a4: 794, a5: 559 };

export interface CardFrame {
  box: HTMLElement;
  show(html: string, size: CardSize): void;
}

/** Return the frame. */
export function cardFrame(): CardFrame {
  // no scripts in it; of this origin it is, so that its height can be asked
  const frame = h("iframe", { sandbox: "allow-same-origin", title: PREVIEW.frame, class: "card-frame", tabindex: -1 });
  const box = h("div", { class: "card-place" }, frame);
  let width_px = WIDTH_PX.a4;
  const fit = (): void => {
    const page = frame.contentDocument?.documentElement;
    if (!page || box.clientWidth === 0) return;
    const share = Math.min(1, box.clientWidth / width_px);
    frame.style.width = `${width_px}px`;
    frame.style.height = `${page.scrollHeight}px`;
    frame.style.transform = `scale(${share})`;
    box.style.height = `${Math.ceil(page.scrollHeight * share)}px`;
  };
  const dress = (): void => {
    const page = frame.contentDocument?.documentElement;
    if (!page) return;
    page.style.overflow = "hidden"; // the frame is as high as the card
    frame.style.height = "0"; // else the last card's height is the least of this one's
    fit();
  };
  frame.addEventListener("load", dress);
  new ResizeObserver(fit).observe(box);
  return {
    box,
    show(html, size) {
      width_px = WIDTH_PX[size];
      frame.style.width = `${width_px}px`;
      frame.srcdoc = html;
    },
  };
}
