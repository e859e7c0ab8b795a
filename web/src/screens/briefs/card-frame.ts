/** A card from the service in a frame where nothing runs, as wide as its paper and shrunk to the place there is. */

import type { CardSize } from "../../data/briefs-api";
import { PREVIEW } from "../../core/briefs-wording";
import { h } from "../../ui/dom";

/** ISO 216 widths in CSS pixels: 210 mm and 148 mm at 96 to the inch. */
const WIDTH_PX: Record<CardSize, number> = { a4: 794, a5: 559 };
const ON_SCREEN = "html { padding: 5mm; overflow: hidden; }";

export interface CardFrame {
  box: HTMLElement;
  show(html: string, size: CardSize): void;
}

/** Return the frame. */
export function cardFrame(): CardFrame {
  // scripts are not allowed in it; of the same origin it is, so that its style can be handed in
  const frame = h("iframe", { sandbox: "allow-same-origin", title: PREVIEW.frame, class: "card-frame", tabindex: -1 });
  const box = h("div", { class: "card-place" }, frame);
  let width_px = WIDTH_PX.a4;
  let style = "";
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
    const page = frame.contentDocument;
    // of the frame's own realm: a sheet made for another document is refused
    const realm = frame.contentWindow as (Window & { CSSStyleSheet: typeof CSSStyleSheet }) | null;
    if (page === null || realm === null) return;
    const sheet = new realm.CSSStyleSheet();
    sheet.replaceSync(style);
    page.adoptedStyleSheets = [sheet];
    frame.style.height = "0"; // else the last card's height is the least of this one's
    fit();
  };
  frame.addEventListener("load", dress);
  new ResizeObserver(fit).observe(box);
  return {
    box,
    show(html, size) {
      // the page's policy lets no style in that stands in markup, not even to be read by a parser
      const sheets: string[] = [];
      const bare = html.replace(/<style[^>]*>([^<]*)<\/style>/g, (_, sheet: string) => (sheets.push(sheet), ""));
      style = [...sheets, ON_SCREEN].join("\n");
      width_px = WIDTH_PX[size];
      frame.style.width = `${width_px}px`;
      frame.srcdoc = bare;
    },
  };
}
