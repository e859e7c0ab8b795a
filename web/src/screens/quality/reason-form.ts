/** Something that is taken back with a reason: folded away, and asked for in the same place. */

import { QUALITY } from "../../core/quality-wording";
import { SHELL } from "../../core/wording";
import { sentence } from "../../data/request";
import { h } from "../../ui/dom";
import { textField } from "../../ui/field";
import { notice } from "../../ui/notice";

/** Return the form; `run` takes it back. */
export function reasonForm(words: string, lead: string, run: (reason: string) => Promise<void>): HTMLElement {
  const reason = textField(QUALITY.reason, "", { maxlength: 200 }, QUALITY.reasonHint);
  const said = notice();
  const submit = async (event: Event): Promise<void> => {
    event.preventDefault();
    const given = reason.input.value.trim();
    reason.complain(given === "" ? QUALITY.needsReason : "");
    if (given === "") return;
    try {
      await run(given);
    } catch (error) {
      said.say(sentence(error, SHELL.noAnswer), "bad");
    }
  };
  return h(
    "details",
    { class: "reason-form" },
    h("summary", {}, words),
    h(
      "form",
      { novalidate: true, on: { submit: (event: Event) => void submit(event) } },
      h("p", {}, lead),
      reason.box,
      h("div", { class: "line-buttons" }, h("button", { type: "submit" }, words)),
      said.box,
    ),
  );
}
