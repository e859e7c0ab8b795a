/** Composition root: puts service, device and shell together and shows the screen of the address. */

import type { Farm, FarmName } from "./core/contracts";
import { addressOf, placeOf, type Place } from "./core/place";
import { SHELL } from "./core/wording";
import { apiOf } from "./data/api";
import { deviceOf } from "./data/device";
import { isReady, requester, sentence } from "./data/request";
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
  tryAgain: () => void tryAgain(),
});
let shown: Shown = STILL;
/** The screen could not be shown: nothing on it follows the service, so it is shown anew when the service is back. */
let dead = false;
let known: { farm: Farm | null; farms: readonly FarmName[] } = { farm: null, farms: [] };
let visit = 0;

function go(place: Place): void {
  // a double tap on a link is one step back, not two
  if (addressOf(place) !== location.pathname + location.search) history.pushState(null, "", addressOf(place));
  window.scrollTo(0, 0);
  void show().then(() => shell.main.focus({ preventScroll: true }));
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
    known = { farm, farms };
    dead = false;
    shown.leave();
    shell.showFarm(farm, farms, farm === null ? { screen: "set-up", block: null } : place);
    if (farm === null) {
      shown = showNewFarm(shell.main, api, async () => go({ screen: "set-up", block: null }));
      return;
    }
    device.set("farm", farm.id);
    const context: Context = { api, device, sending, farm, place, deviceId, go, tryAgain, readFarm };
    async function readFarm(): Promise<void> {
      context.farm = await api.farm(context.farm.id);
      known = { farm: context.farm, farms };
      shell.showFarm(context.farm, farms, place);
    }
    shown = SCREEN[place.screen](shell.main, context);
  } catch (error) {
    if (mine !== visit) return;
    shown.leave();
    shown = STILL;
    dead = true;
    // farm and screens stay in sight: what is known does not vanish with the connection
    shell.showFarm(known.farm, known.farms, place);
    fill(shell.main, emptyState(sentence(error, SHELL.noAnswer), { label: SHELL.tryAgain, run: () => void show() }));
  }
}

/** Send again what waits, and draw what the screen shows from the service. */
async function tryAgain(): Promise<void> {
  const saved = await sending.tryAgain();
  if (saved > 0) shell.announce(SHELL.savedNow(saved));
  if (dead) await show();
  else shown.newer(0);
}

/** After an outage: go on as soon as the service is ready, without being asked. */
async function comeBack(): Promise<void> {
  if (!(await isReady())) return;
  const lost = connection.answered === false;
  connection.answered = true;
  connection.lastAnswer = new Date();
  shell.showConnection(connection, sending);
  if (lost || dead) await tryAgain();
}

let asking = false;
/** Ask now and then whether the service is there, and has newer records than the screen shows. */
async function follow(): Promise<void> {
  if (asking || document.visibilityState === "hidden") return;
  asking = true;
  await (connection.answered === false || dead ? comeBack() : readChanges());
  asking = false;
}

async function readChanges(): Promise<void> {
  const cursor = shown.cursor();
  const farm = device.get("farm");
  if (cursor === null || farm === null) return;
  const asked = shown;
  try {
    const { changes } = await api.changes(farm, cursor);
    if (asked === shown && changes.length > 0) shown.newer(changes.length);
  } catch {
    // the connection line already says so; the next round asks again
  }
}

window.addEventListener("online", () => void follow());
document.addEventListener("visibilitychange", () => void follow());
window.addEventListener("popstate", () => void show());
window.addEventListener("beforeunload", (event) => {
  if (sending.unsaved().length > 0) event.preventDefault();
});
setInterval(() => void follow(), FOLLOW_MS);
paintFromLegend(document.documentElement);
document.body.append(stripPatterns());
shell.showConnection(connection, sending);
void show();
