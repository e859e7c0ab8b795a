/** Under each table: the same as a file. */

import { FARMS } from "../../core/farms-wording";
import { h } from "../../ui/dom";
import { saveFile } from "../../ui/save-file";

/** Return the button; `name` is the file's, without its end. */
export function csvButton(name: string, what: string, content: () => string): HTMLElement {
  const save = (): void => saveFile(new Blob([content()], { type: "text/csv;charset=utf-8" }), `${name}.csv`);
  return h("p", { class: "farms-save" }, h("button", { type: "button", "aria-label": FARMS.csvOf(what), on: { click: save } }, FARMS.csv));
}
