/** The blocks that are there, each with the way to its ground, and the way to draw one. */

import { GROUND } from "../../core/ground-wording";
import { SHELL } from "../../core/wording";
import { groundApi } from "../../data/ground-api";
import { sentence } from "../../data/request";
import { fill, h } from "../../ui/dom";
import type { Context } from "../context";
import { placeLink } from "../place-link";

/** Return the section; `none` hears that there is no block yet. */
export function blockLinks({ request, farm, go }: Context, none: () => void): HTMLElement {
  const body = h("div", {}, h("p", {}, SHELL.loading));
  const load = async (): Promise<void> => {
    try {
      const blocks = await groundApi(request).blocks(farm.id);
      if (blocks.length === 0) none();
      fill(
        body,
        h("p", {}, blocks.length === 0 ? GROUND.blocksNone : GROUND.blocksHelp),
        blocks.length === 0 ? null : h(
          "ul",
          { class: "plain-list block-links", tabindex: 0, "aria-label": GROUND.blocks },
          ...blocks.map(({ id, code, name }) =>
            h("li", {}, placeLink({ screen: "set-up", block: id }, name === code ? code : `${code} ${name}`, go, { class: "button" })),
          ),
        ),
        h("p", {}, placeLink({ screen: "set-up", block: "new" }, GROUND.draw, go, { class: "button" })),
      );
    } catch (error) {
      fill(body, h("p", {}, sentence(error, SHELL.noAnswer)));
    }
  };
  void load();
  return h("section", { class: "import" }, h("h2", {}, GROUND.blocks), body);
}
