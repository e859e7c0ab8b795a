/** The blocks that are there, each with the way to its ground, and the way to draw one. */

import { GROUND } from "../../core/ground-wording";
import { SHELL } from "../../core/wording";
import { groundApi } from "../../data/ground-api";
import { sentence } from "../../data/request";
import { fill, h } from "../../ui/dom";
import type { Context } from "../context";
import { placeLink } from "../place-link";

/** Return the section. */
export function blockLinks({ request, farm, go }: Context): HTMLElement {
  const body = h("div", {}, h("p", {}, SHELL.loading));
  const load = async (): Promise<void> => {
    try {
      const blocks = await groundApi(request).blocks(farm.id);
      fill(
        body,
        blocks.length === 0 ? h("p", {}, GROUND.blocksNone) : null,
        h(
          "ul",
          { class: "plain-list block-links" },
          ...blocks.map(({ id, code, name }) =>
            h("li", {}, placeLink({ screen: "set-up", block: id }, GROUND.edit(code), go, { class: "button" }), name === code ? "" : ` ${name}`),
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
