/** Light and dark, left hand and right: said on the page's root, from the tablet's memory and the browser's own wish. */

import type { TabletMemory } from "../data/tablet-memory";
import { paintFromLegend } from "./legend-signs";

export interface Theme {
  /** Dress the page anew after a setting was changed. */
  apply(): void;
}

/** Dress the page, now and whenever the tablet itself turns light or dark. */
export function themeOf(root: HTMLElement, memory: TabletMemory): Theme {
  const dark = window.matchMedia("(prefers-color-scheme: dark)");
  const apply = (): void => {
    const chosen = memory.light();
    const light = chosen === "auto" ? (dark.matches ? "night" : "day") : chosen;
    root.dataset["light"] = light;
    root.dataset["hand"] = memory.hand();
    root.style.colorScheme = light === "night" ? "dark" : "light";
    paintFromLegend(root, light);
    document.querySelector('meta[name="theme-color"]')?.setAttribute("content", root.style.getPropertyValue("--paper"));
  };
  dark.addEventListener("change", apply);
  apply();
  return { apply };
}
