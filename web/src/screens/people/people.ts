/** Who works on the farm. */

import { DOOR } from "../../core/door-wording";
import { ROLE } from "../../core/wording";
import { fill, h } from "../../ui/dom";
import { emptyState } from "../../ui/notice";
import { STILL, type Screen } from "../context";

/** Show the people of the farm. */
export const showPeople: Screen = (root, { farm, go }) => {
  const toSetUp = { label: "Set-up", run: () => go({ screen: "set-up", block: null }) };
  const lines = farm.people.map(({ name, role }) => h("li", {}, `${name}: ${ROLE[role]}`));
  fill(
    root,
    h("h1", {}, DOOR.people),
    lines.length === 0 ? emptyState(DOOR.peopleNone, toSetUp) : h("ul", {}, ...lines),
  );
  return STILL;
};
