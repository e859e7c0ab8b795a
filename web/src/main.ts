/** Composition root: puts service, device and shell together and shows the screen of the address. */

import { addressOf, placeOf, type Place } from "./core/place";
import { SHELL } from "./core/wording";
import { apiOf } from "./data/api";
import { deviceOf } from "./data/device";
import { requester, sentence } from "./data/request";
import { sendingOf } from "./data/sending";
import { showChecks } from "./screens/checks/checks";
import { freshId, STILL, type Context, type Screen, type Shown } from "./screens/context";
import { showOverview } from "./screens/overview/overview";
import { showRows } from "./screens/rows/rows";
import { showNewFarm } from "./screens/set-up/new-farm";
import { showSetUp } from "./screens/set-up/set-up";
import { shellOf, type Connection } from "./screens/shell/shell";
import { fill } from "./ui/dom";
import { paintFromLegend, stripPatterns } from "./ui/legend-signs";
import { emptyState } from "./ui/notice";
import "./ui/sheet.css";

const SCREEN = { overview: showOverview, rows: showRows, checks: showChecks, "set-up": showSetUp } as const satisfies Record<
  Place["screen"],
  Screen
>;
const FOLLOW_MS = 4_000;

const device = deviceOf(window.localStorage);
const deviceId = device.get("device") ?? freshId();
device.set("device", deviceId);

const connection: Connection = { answered: null, lastAnswer: null };
const api = apiOf(
  requester((answered) => {
    connection.answered = answered;
    if (answered) connection.lastAnswer = new Date();
    shell.showConnection(connection, sending);
  }),
);
const sending = sendingOf(api, () => new Date(), () => shell.showConnection(connection, sending));
const root = document.querySelector("#app");
if (!(root instanceof HTMLElement)) throw new Error("The page has no #app.");
const shell = shellOf(root, {
  go,
  pickFarm(id) {
    device.set("farm", id);
    go({ screen: "overview", block: null });
  },
  tryAgain() {
    void sending.tryAgain().then(() => shown.newer(0));
  },
});
let shown: Shown = STILL;
let visit = 0;

function go(place: Place): void {
  history.pushState(null, "", addressOf(place));
  window.scrollTo(0, 0);
  void show().then(() => shell.main.focus());
}

/** Read the farm and show the screen of the address; a later visit overtakes an earlier one. */
async function show(): Promise<void> {
  visit += 1;
  const mine = visit;
  const place = placeOf(location.pathname, location.search);
  try {
    const { farms } = await api.farms();
    const chosen = farms.find((farm) => farm.id === device.get("farm")) ?? farms[0];
    const farm = chosen === undefined ? null : await api.farm(chosen.id);
    if (mine !== visit) return;
    shown.leave();
    shell.showFarm(farm, farms, farm === null ? { screen: "set-up", block: null } : place);
    if (farm === null) {
      shown = showNewFarm(shell.main, api, show);
      return;
    }
    device.set("farm", farm.id);
    const context: Context = { api, device, sending, farm, place, deviceId, go, readFarm };
    async function readFarm(): Promise<void> {
      context.farm = await api.farm(context.farm.id);
      shell.showFarm(context.farm, farms, place);
    }
    shown = SCREEN[place.screen](shell.main, context);
  } catch (error) {
    if (mine !== visit) return;
    shown.leave();
    shown = STILL;
    shell.showFarm(null, [], place);
    fill(shell.main, emptyState(sentence(error, SHELL.noAnswer), { label: SHELL.tryAgain, run: () => void show() }));
  }
}

/** Ask now and then whether the service has newer records than the screen shows. */
async function follow(): Promise<void> {
  const cursor = shown.cursor();
  const farm = device.get("farm");
  if (cursor === null || farm === null || document.visibilityState === "hidden") return;
  const asked = shown;
  try {
    const { changes } = await api.changes(farm, cursor);
    if (asked === shown && changes.length > 0) shown.newer(changes.length);
  } catch {
    // the connection line already says so; the next round asks again
  }
}

window.addEventListener("popstate", () => void show());
window.addEventListener("beforeunload", (event) => {
  if (sending.unsaved().length > 0) event.preventDefault();
});
setInterval(() => void follow(), FOLLOW_MS);
paintFromLegend(document.documentElement);
document.body.append(stripPatterns());
shell.showConnection(connection, sending);
void show();
