/** Briefs, for who writes them: the season's list, a new one, the editor, and versions side by side. */

import { BRIEFS } from "../../core/briefs-wording";
import { briefsApi } from "../../data/briefs-api";
import { fill, h } from "../../ui/dom";
import { emptyState } from "../../ui/notice";
import "../../ui/line-buttons.css";
import { STILL, type Screen } from "../context";
import "./briefs.css";
import { showCompare } from "./compare";
import "./editor.css";
import { showEditor } from "./editor";
import { showList } from "./list";
import { showNewBrief } from "./new-brief";

/** Show the screen. */
export const showBriefs: Screen = (root, context) => {
  const api = briefsApi(context.request);
  const { brief, variety, block, compare } = context.place;
  const { season } = context.farm;
  if (brief !== undefined) return compare === true ? showCompare(root, context, api, brief) : showEditor(root, context, api, brief);
  if (season === null) {
    fill(root, h("h1", {}, BRIEFS.title), emptyState(BRIEFS.noSeason));
    return STILL;
  }
  if (variety !== undefined) return showNewBrief(root, context, api, season, { variety_id: variety });
  if (block !== null) return showNewBrief(root, context, api, season, { block_id: block });
  return showList(root, context, api, season);
};
