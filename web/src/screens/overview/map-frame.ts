/** The map of the farm in its frame; it looks at what the page says without being loaded anew. */

import type { BlockSummary } from "../../core/contracts";
import type { Glance } from "../../core/glance";
import { language } from "../../core/language";
import { OVERVIEW } from "../../core/overview-wording";
import { h } from "../../ui/dom";

/** While days pass by nobody knows what was found in them: a ring has no pith then, and no sign but what is pruned. */
export const UNTOLD = { verdict: "not_begun", overlap: 0, again: 0, weak: 0, drawn: 0, drawn_faulty: 0 } as const;
/** What the map is told; a day that is left out stays what it is. */
export interface MapLook {
  day?: string;
  blocks: readonly string[] | null;
  crew: string | null;
  /** What rings say, by block. */
  figures: Record<string, { trees: number; pruned: number } & Partial<typeof UNTOLD>> | null;
}
export interface MapFrame {
  box: HTMLIFrameElement;
  look(look: MapLook): void;
}

/** Return what the map is told of a glance; rings of all crews are told where the map does not know them by itself (`knows`). */
export function lookOf({ own, blocks }: Glance, shown: ReadonlySet<string> | null, crew: string | null, knows: boolean, passes: boolean): MapLook {
  const rings = own ?? (knows ? null : new Map(blocks.map((block) => [block.id, block.pruned])));
  const ring = ({ id, trees }: BlockSummary) => [id, { trees, pruned: rings?.get(id) ?? 0, ...(passes && UNTOLD) }] as const;
  return { blocks: shown === null ? null : [...shown], crew, figures: rings === null ? null : Object.fromEntries(blocks.map(ring)) };
}

/** Return the frame. */
export function mapFrame(farm: string, first: MapLook & { day: string }): MapFrame {
  const query = new URLSearchParams({ farm, day: first.day, lang: language(), embedded: "true" });
  if (first.blocks !== null) query.set("blocks", first.blocks.join(","));
  if (first.crew !== null) query.set("crew", first.crew);
  const box = h("iframe", { class: "map-frame", title: OVERVIEW.map, src: `/map?${query.toString()}` });
  let last: MapLook = first;
  const say = (look: MapLook): void => box.contentWindow?.postMessage({ orchardmap: "look", ...look }, location.origin);
  // what was said while it was loading nobody heard
  box.addEventListener("load", () => say(last));
  return {
    box,
    look(look) {
      last = { ...last, ...look };
      say(look);
    },
  };
}
