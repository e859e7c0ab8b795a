/** Where a file is dropped or chosen. */

import { IMPORT } from "../../core/set-up-wording";
import { h } from "../../ui/dom";
import { fieldId } from "../../ui/field";

/** Return the zone; `given` hears the file. */
export function dropZone(given: (file: File) => void): HTMLElement {
  const id = fieldId();
  const input = h("input", { id, type: "file", class: "file-input" });
  input.addEventListener("change", () => {
    const file = input.files?.[0];
    if (file !== undefined) given(file);
  });
  const zone = h(
    "div",
    { class: "drop-zone" },
    h("p", { class: "drop-words" }, IMPORT.drop),
    input,
    h("label", { for: id, class: "button" }, IMPORT.choose),
    h("p", {}, IMPORT.formats),
  );
  zone.addEventListener("dragover", (event) => {
    event.preventDefault();
    zone.dataset["over"] = "true";
  });
  zone.addEventListener("dragleave", () => delete zone.dataset["over"]);
  zone.addEventListener("drop", (event) => {
    event.preventDefault();
    delete zone.dataset["over"];
    const file = event.dataTransfer?.files[0];
    if (file !== undefined) given(file);
  });
  return zone;
}
