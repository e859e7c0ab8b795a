/** Files of a farm for other programs, as of a day: in words of what they are for, each one click away. */

import { FILES, type LayerName } from "../../core/files-wording";
import { dayText } from "../../core/numbers";
import type { Place } from "../../core/place";
import { fileAddress, wholeFarm } from "../../data/files-api";
import { sentence, type Request } from "../../data/request";
import { fill, h } from "../../ui/dom";
import { choiceField } from "../../ui/field";
import "../../ui/line-buttons.css";
import "./files-section.css";
import { notice } from "../../ui/notice";
import { saveFile } from "../../ui/save-file";
import { placeLink } from "../place-link";

export interface FilesOf {
  request: Request;
  farm: { id: string; name: string };
  day: string;
  /** A manager may take the whole farm along, and make keys. */
  isManager: boolean;
  go(place: Place): void;
}

function link(words: string, href: string): HTMLElement {
  return h("a", { class: "button", href, download: "" }, words);
}

function oneLayer(farm: string, day: string): HTMLElement {
  const choices = Object.entries(FILES.layers).map(([value, label]) => ({ value, label }));
  const first: LayerName = "blocks";
  const layer = choiceField(FILES.layer, choices, first);
  const links = h("div", { class: "line-buttons" });
  const draw = (): void =>
    fill(
      links,
      link(FILES.geojson, fileAddress(farm, `${layer.input.value}.geojson`, day)),
      link(FILES.csv, fileAddress(farm, `${layer.input.value}.csv`, day)),
    );
  layer.input.addEventListener("change", draw);
  draw();
  return h("div", { class: "form" }, layer.box, links, h("p", { class: "field-hint" }, FILES.csvWhat));
}

function whole({ request, farm, day }: FilesOf): HTMLElement {
  const said = notice();
  const button = h("button", { type: "button" }, FILES.whole);
  const take = async (): Promise<void> => {
    button.disabled = true;
    said.say(FILES.making);
    try {
      const name = `${farm.name} ${day} farm.zip`;
      saveFile(await wholeFarm(request, farm.id), name);
      said.say(FILES.saved(name), "good");
    } catch (error) {
      said.say(sentence(error, FILES.notMade), "bad");
    }
    button.disabled = false;
  };
  button.addEventListener("click", () => void take());
  return h("div", {}, h("div", { class: "line-buttons" }, button), h("p", { class: "field-hint" }, FILES.wholeWhat), said.box);
}

/** Return the section. Draw it anew where the day is another. */
export function filesSection(of: FilesOf): HTMLElement {
  const { farm, day } = of;
  return h(
    "section",
    { class: "files-section", "aria-label": FILES.title },
    h("h2", {}, FILES.title),
    h("p", {}, FILES.lead(dayText(day))),
    h(
      "div",
      { class: "line-buttons" },
      link(FILES.geopackage, fileAddress(farm.id, "orchard.gpkg", day)),
      link(FILES.withPositions, fileAddress(farm.id, "orchard_with_positions.gpkg", day)),
      link(FILES.workbook, fileAddress(farm.id, "orchard.xlsx", day)),
    ),
    oneLayer(farm.id, day),
    h("p", { class: "gis-address" }, FILES.straight(`${location.origin}/ogc/farms/${farm.id}`)),
    of.isManager ? h("div", { class: "line-buttons" }, placeLink({ screen: "people", block: null, part: "keys" }, FILES.toKeys, of.go, { class: "button" })) : null,
    of.isManager ? whole(of) : null,
  );
}
