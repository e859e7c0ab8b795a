/** Labels for the ends of a block's rows, as a PDF to print. */

import type { BlockSummary } from "../../core/contracts";
import { isHereOnly, LABELS } from "../../core/labels-wording";
import { SHELL } from "../../core/wording";
import { labelsPdf } from "../../data/labels-api";
import { sentence } from "../../data/request";
import { fill, h } from "../../ui/dom";
import { choiceField, radioGroup, textField } from "../../ui/field";
import { notice } from "../../ui/notice";
import { saveFile } from "../../ui/save-file";
import type { Context } from "../context";

function labelsForm({ request, farm }: Context, blocks: readonly BlockSummary[]): HTMLElement {
  const said = notice();
  const choices = blocks.map(({ id, code, name, rows }) => ({ value: id, label: LABELS.blockLine(code, name, rows) }));
  const block = choiceField(LABELS.block, choices, choices[0]?.value ?? "");
  const rows = textField(LABELS.rows, "", { maxlength: 200 }, LABELS.rowsHint);
  const ends = radioGroup(LABELS.ends, Object.entries(LABELS.endsOf).map(([value, label]) => ({ value, label })), "both");
  const address = textField(LABELS.address, location.origin, { maxlength: 300, inputmode: "url" }, LABELS.addressHint);
  const button = h("button", { type: "submit" }, LABELS.make);
  const make = async (event: Event): Promise<void> => {
    event.preventDefault();
    const to = address.input.value.trim();
    address.complain(to === "" ? LABELS.noAddress : "");
    if (to === "") return address.input.focus();
    button.disabled = true;
    said.say(LABELS.making);
    try {
      const wish = { block: block.input.value, rows: rows.input.value.trim(), ends: ends.value(), address: to };
      const pdf = await labelsPdf(request, farm.id, wish);
      const file = LABELS.fileName(blocks.find(({ id }) => id === wish.block)?.code ?? "");
      saveFile(pdf, file);
      said.say(isHereOnly(to) ? LABELS.hereOnly(file) : LABELS.made(file), "good");
    } catch (error) {
      said.say(sentence(error, SHELL.noAnswer), "bad");
    } finally {
      button.disabled = false;
    }
  };
  const form = h(
    "form",
    { class: "form", novalidate: true, on: { submit: (event: Event) => void make(event) } },
    block.box,
    rows.box,
    address.box,
    ends.box,
    button,
  );
  return h("div", {}, form, said.box);
}

/** Return the section; the blocks are read each time it is opened, for some may have been loaded since. */
export function rowLabels(context: Context): HTMLElement {
  const { api, farm } = context;
  const body = h("div", {});
  const read = async (): Promise<void> => {
    fill(body, h("p", {}, SHELL.loading));
    try {
      const { blocks } = await api.overview(farm.id, farm.today);
      fill(body, ...(blocks.length === 0 ? [h("p", {}, LABELS.noBlocks)] : [h("p", {}, LABELS.lead), labelsForm(context, blocks)]));
    } catch (error) {
      fill(body, h("p", {}, sentence(error, SHELL.noAnswer)));
    }
  };
  const box = h("details", { class: "row-labels" }, h("summary", {}, LABELS.title), body);
  box.addEventListener("toggle", () => {
    if (box.open) void read();
  });
  return box;
}
