/** Power lines over and beside the farm: their list, and a form that takes poles as typed or a GeoJSON file. */

import { measure } from "../../core/numbers";
import { typedPoints, type PowerLine } from "../../core/timing";
import { measureText, typedMeasure } from "../../core/typed-measure";
import { TIMING } from "../../core/timing-wording";
import { roleAt } from "../../core/who";
import { SHELL } from "../../core/wording";
import { sentence } from "../../data/request";
import type { TimingApi } from "../../data/timing-api";
import { fill, h } from "../../ui/dom";
import { fieldId, textField } from "../../ui/field";
import { notice } from "../../ui/notice";
import type { Context } from "../context";
import { sure } from "../people/sure";

/** Return the poles of the form as GeoJSON, or what is wrong with them. */
async function drawn(typed: string, file: File | undefined): Promise<object | string> {
  if (file !== undefined) {
    try {
      const read: unknown = JSON.parse(await file.text());
      return typeof read === "object" && read !== null ? read : TIMING.noGeojson;
    } catch {
      return TIMING.noGeojson;
    }
  }
  const points = typedPoints(typed);
  if (!Array.isArray(points)) return TIMING.wrongPoint(points.wrongLine);
  return points.length < 2 ? TIMING.needsPoints : { type: "LineString", coordinates: points };
}

function lineForm(add: (name: string, kv: number, geojson: object) => Promise<void>): HTMLElement {
  const said = notice();
  const name = textField(TIMING.lineName, "", { maxlength: 200 });
  const kv = textField(TIMING.lineKv, "", { inputmode: "decimal", maxlength: 8 });
  const [polesId, fileId] = [fieldId(), fieldId()];
  const poles = h("textarea", { id: polesId, rows: 4, "aria-describedby": `${polesId}-hint` });
  const file = h("input", { id: fileId, type: "file", accept: ".geojson,.json,application/geo+json" });
  const submit = async (event: Event): Promise<void> => {
    event.preventDefault();
    const called = name.input.value.trim();
    const voltage_kv = typedMeasure(kv.input.value);
    name.complain(called === "" ? TIMING.needsName : "");
    kv.complain(voltage_kv === null || voltage_kv < 0 ? TIMING.needsKv : "");
    const geojson = await drawn(poles.value, file.files?.[0]);
    said.say(typeof geojson === "string" ? geojson : "", "bad");
    if (called === "" || voltage_kv === null || voltage_kv < 0 || typeof geojson === "string") return;
    try {
      await add(called, voltage_kv, geojson);
    } catch (error) {
      said.say(sentence(error, SHELL.noAnswer), "bad");
    }
  };
  return h(
    "form",
    { novalidate: true, on: { submit: (event: Event) => void submit(event) } },
    name.box,
    kv.box,
    h(
      "div",
      { class: "field" },
      h("label", { for: polesId }, TIMING.linePoints),
      poles,
      h("p", { class: "field-hint", id: `${polesId}-hint` }, TIMING.linePointsHint),
    ),
    h("div", { class: "field" }, h("label", { for: fileId }, TIMING.lineFile), file),
    h("div", { class: "line-buttons" }, h("button", { type: "submit", class: "main" }, TIMING.addLine)),
    said.box,
  );
}

/** Return the part; it reads the lines when it is opened. */
export function powerLines({ farm, who }: Context, api: TimingApi): HTMLElement {
  const said = notice();
  const body = h("div", {});
  const isManager = roleAt(who, farm.id) === "manager";
  said.box.tabIndex = -1;
  /** Say what was done; the button that did it is drawn anew, so the keyboard goes here. */
  const tell = (words: string): void => {
    said.say(words, "good");
    said.box.focus();
  };
  const add = async (name: string, kv: number, geojson: object): Promise<void> => {
    await api.addLine(farm.id, { name, kv, geojson });
    await read();
    tell(TIMING.added(name));
  };
  const removal = ({ id, name }: PowerLine): HTMLElement =>
    sure({
      button: TIMING.removeLine,
      label: TIMING.removeLineOf(name),
      question: TIMING.removeSure(name),
      yes: TIMING.removeYes,
      run: async () => {
        await api.removeLine(farm.id, id);
        await read();
        tell(TIMING.removed(name));
      },
    });
  const read = async (): Promise<void> => {
    try {
      const { lines } = await api.lines(farm.id);
      said.say("");
      const words = (one: PowerLine): string => TIMING.line(one.name, measure(one.kv), measureText(one.clearance_m));
      fill(
        body,
        lines.length === 0
          ? h("p", {}, TIMING.noLines)
          : h("ul", { class: "plain-list" }, ...lines.map((one) => h("li", { class: "timing-line" }, h("span", {}, words(one)), isManager ? removal(one) : null))),
        isManager ? lineForm(add) : h("p", {}, TIMING.linesByManager),
      );
    } catch (error) {
      said.say(sentence(error, SHELL.noAnswer), "bad");
    }
  };
  const box = h(
    "details",
    { class: "timing-form" },
    h("summary", {}, TIMING.lines),
    h("p", {}, TIMING.linesPurpose),
    said.box,
    body,
  );
  box.addEventListener("toggle", () => {
    if (box.open && body.childElementCount === 0) void read();
  });
  return box;
}
