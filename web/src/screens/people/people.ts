/** People and tablets: who may do what on this farm, with which tablet, by which PIN, and what reads it by which key. */

import { PEOPLE } from "../../core/people-wording";
import { whoApi } from "../../data/who-api";
import { fill, h } from "../../ui/dom";
import "../../ui/line-buttons.css";
import type { Screen } from "../context";
import { accountsSection } from "./accounts";
import { crewsAndPeople } from "./crews-and-people";
import "./people.css";
import { readingKeys } from "./reading-keys";
import { tabletsSection } from "./tablets";

/** Show the screen. */
export const showPeople: Screen = (root, context) => {
  const api = whoApi(context.request);
  const tablets = tabletsSection(context, api);
  fill(
    root,
    h("h1", {}, PEOPLE.title),
    h(
      "div",
      { class: "people-parts" },
      tablets.box, // first, for upright it is looked for most
      crewsAndPeople(context, api),
      accountsSection(context, api),
      readingKeys(context),
    ),
  );
  return {
    cursor: () => null,
    newer: () => tablets.read(),
    leave: () => tablets.leave(),
  };
};
