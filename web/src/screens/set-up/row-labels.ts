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

const ALL = "";

function labelsForm({ request, farm }: Context, blocks: readonly BlockSummary[]): HTMLElement {
  const said = notice();
  const choices = blocks.map(({ id, code, name, rows }) => ({ value: id, label: LABELS.blockLine(code, name, rows) }));
  const all = blocks.length > 1 ? [{ value: ALL, label: LABELS.allBlocks(blocks.length) }] : [];
  const block = choiceField(LABELS.block, [...choices, ...all], choices[0]?.value ?? "");
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
    const wished = blocks.filter(({ id }) => block.input.value === ALL || id === block.input.value);
    let saved = 0;
    try {
      for (const { id, code } of wished) {
        said.say(wished.length === 1 ? LABELS.making : LABELS.makingOf(code, saved + 1, wished.length));
        const wish = { block: id, rows: wished.length === 1 ? rows.input.value.trim() : "", ends: ends.value(), address: to };
        saveFile(await labelsPdf(request, farm.id, wish), LABELS.fileName(code));
        saved += 1;
      }
      const [only] = wished;
      const words = isHereOnly(to) ? [LABELS.hereOnly, LABELS.allHereOnly] as const : [LABELS.made, LABELS.allMade] as const;
      said.say(wished.length === 1 && only ? words[0](LABELS.fileName(only.code)) : words[1](saved), "good");
    } catch (error) {
      const words = sentence(error, SHELL.noAnswer);
      said.say(saved === 0 ? words : LABELS.stoppedAt(wished[saved]?.code ?? "", saved, words), "bad");
    } finally {
      button.disabled = false;
    }
  };
  block.input.addEventListener("change", () => {
    // row numbers are of one block
    rows.input.disabled = block.input.value === ALL;
  });
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
