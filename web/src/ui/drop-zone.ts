/** Where a file is dropped or chosen. */

import { h } from "./dom";
import "./drop-zone.css";
import { fieldId } from "./field";

export interface DropWords {
  drop: string;
  choose: string;
  formats: string;
}

/** Return the zone; `given` hears the file. */
export function dropZone(words: DropWords, given: (file: File) => void): HTMLElement {
  const id = fieldId();
  const input = h("input", { id, type: "file", class: "file-input" });
  input.addEventListener("change", () => {
    const file = input.files?.[0];
    if (file !== undefined) given(file);
  });
  const zone = h(
    "div",
    { class: "drop-zone" },
    h("p", { class: "drop-words" }, words.drop),
    input,
    h("label", { for: id, class: "button" }, words.choose),
    h("p", {}, words.formats),
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
