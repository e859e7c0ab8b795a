/** A ready-made brief to start from: its habit in words, what it means, and the drawing that tells it from the others. */

import type { BearingHabit, SaidBrief } from "../../core/brief-contracts";
import { readingLanguage } from "../../core/brief-points";
import { BEARING, BEARING_MEANS, NEW_BRIEF } from "../../core/briefs-wording";
import { h } from "../../ui/dom";
import { pointPicture } from "./point-picture";

/** The drawing of the point that a habit is known by. */
const KNOWN_BY: Record<BearingHabit, string> = {
  tip_renewed: "tip-shoot-whole",
  tip_alternating: "unit-too-old",
  spur_renewed: "shorten-to-fruit-bud",
  spur_long_lived: "strong-upright-years",
  spur_uncut: "thick-limb-out",
};

/** Return the card. */
export function habitCard({ content, texts }: SaidBrief, pick: (habit: BearingHabit) => Promise<void>): HTMLElement {
  const { habit, points } = content;
  const at = Math.max(0, points.findIndex(({ picture }) => picture === KNOWN_BY[habit]));
  const point = points[at];
  const said = texts[readingLanguage(content)]?.points[at] ?? "";
  return h(
    "li",
    { class: "habit-card" },
    point === undefined ? null : pointPicture(point, said),
    h(
      "div",
      {},
      h("h3", {}, BEARING[habit]),
      h("p", {}, BEARING_MEANS[habit]),
      h(
        "button",
        { type: "button", "aria-label": NEW_BRIEF.startFor(BEARING[habit]), on: { click: () => void pick(habit) } },
        NEW_BRIEF.start,
      ),
    ),
  );
}
