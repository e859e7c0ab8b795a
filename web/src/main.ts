/** Composition root: puts service, device and shell together and shows the screen of the address. */

import type { Who } from "./core/contracts";
import { waitingAgain, type RefusedPhoto } from "./core/outbox";
import { placeOf, type DoorScreen as Door, type FarmScreen } from "./core/place";
import { QUEUE, type Shortcoming } from "./core/queue-wording";
import { roleAt } from "./core/who";
import { SHELL } from "./core/wording";
import { apiOf } from "./data/api";
import { confirmingOf } from "./data/confirming";
import { deviceOf } from "./data/device";
import { headStart } from "./data/head-start";
import { holdingOf } from "./data/holding";
import { keptOf } from "./data/kept";
import { requester } from "./data/request";
import { tabletMemoryOf } from "./data/tablet-memory";
import { WHO_CHANNEL, whoInWindows } from "./data/who-in-windows";
import { watchWorker } from "./data/worker";
import { freshId, type DoorScreen, type Screen } from "./screens/context";
import { follow } from "./screens/following";
import { later } from "./screens/later";
import { showRows } from "./screens/rows/rows";
import { shellOf } from "./screens/shell/shell";
import { visitsOf } from "./screens/visits";
import { guardDoubleTaps } from "./ui/double-tap";
import { stripPatterns } from "./ui/legend-signs";
import { themeOf } from "./ui/theme";
import "./ui/sheet.css";

const overview = () => import("./screens/overview/overview");
// it comes while it is still asked who is here
if (location.pathname === "/") void overview().catch(() => undefined);
const screens: Record<FarmScreen, Screen> = {
  overview: later(async () => (await overview()).showOverview),
  rows: showRows,
  checks: later(async () => (await import("./screens/checks/checks")).showChecks),
  quality: later(async () => (await import("./screens/quality/quality")).showQuality),
  settling: later(async () => (await import("./screens/settling/settling")).showSettling),
  forecast: later(async () => (await import("./screens/forecast/forecast")).showForecast),
  plan: later(async () => (await import("./screens/plan/plan")).showPlan),
  briefs: later(async () => (await import("./screens/briefs/briefs")).showBriefs),
  timing: later(async () => (await import("./screens/timing/timing")).showTiming),
  pay: later(async () => (await import("./screens/pay/pay")).showPay),
  farms: later(async () => (await import("./screens/farms/farms")).showFarms),
  people: later(async () => (await import("./screens/people/people")).showPeople),
  "set-up": later(async () => (await import("./screens/set-up/set-up")).showSetUp),
};
const doors: Record<Door, DoorScreen> = {
  "sign-in": later(async () => (await import("./screens/sign-in/sign-in")).showSignIn),
  "first-start": later(async () => (await import("./screens/first-start/first-start")).showFirstStart),
  pair: later(async () => (await import("./screens/pair/pair")).showPair),
};

const device = deviceOf(window.localStorage, window.sessionStorage);
const deviceId = device.get("device") ?? freshId();
device.set("device", deviceId);

const memory = tabletMemoryOf(window.localStorage);
const tablet = { memory, theme: themeOf(document.documentElement, memory) };

let who: Who | null = null;
let answered: boolean | null = null;
let wasLost = false;
let lastAnswer = memory.lastHeard();
let asOf: string | null = null;
let isOfEarlierSeason = false;
let update: (() => void) | null = null;
let outdated = false;
/** An older tab keeps the storage from being brought up to date. */
let held = false;
/** Photos that the service does not have yet. */
let photosWait = 0;
let refusedPhotos: readonly RefusedPhoto[] = [];
/** Whether the browser promised not to empty its storage; null before it was asked. */
let persisted: boolean | null = null;
const AFTER_ARRIVAL_MS = 500;
const OVERVIEW_READS_MS = 3_000;
const codes = new Map<string, string>();

const plain = requester((heard) => {
  if (heard) hears();
  else {
    answered = false;
    wasLost = true;
  }
  draw();
}, headStart.fetch);
const { request, askAgain } = confirmingOf(plain, {
  ask: async () => (await import("./screens/confirm/confirm")).askForPassword(plain),
  given: () => void tryAgain(),
});
const kept = keptOf({
  api: apiOf(request),
  request,
  device,
  tab: freshId(),
  crewId: () => who?.farms.find(({ id }) => id === device.get("farm"))?.crew_id ?? null,
  changed: () => draw(),
  read(reading) {
    ({ asOf, isOfEarlierSeason } = reading);
    draw();
  },
  outdated() {
    outdated = true;
    draw();
  },
  held(isHeld) {
    held = isHeld;
    draw();
  },
});
const { api, sending, sync, ground, halfDone, photos, outbox } = kept;
const waiting = (): number => sending.entries().filter(({ state }) => state === "waiting").length;
const holding = holdingOf({ request, device, paired: () => who?.device?.id ?? null, waiting });

const root = document.querySelector("#app");
if (!(root instanceof HTMLElement)) throw new Error("The page has no #app.");
const shell = shellOf(root, {
  go: (place) => visits.go(place),
  pickFarm(id) {
    device.set("farm", id);
    visits.go({ screen: placeOf(location.pathname, "").screen, block: null });
  },
  speak,
  send() {
    askAgain();
    void tryAgain();
  },
  seen: (entries) => void outbox.change(entries.map((entry) => ({ ...entry, seen: true }))),
  again: (entries) => void outbox.change(entries.map(waitingAgain)).then(() => sync.kick()),
  dropPhotos: (some) => void photos().then(async (kept) => {
    for (const { id } of some) await kept.remove(id);
    await sendPhotos();
  }),
  blockCode: (id) => codes.get(id) ?? id.slice(0, 8),
});
const tellWindows =
  typeof BroadcastChannel === "undefined" ? () => undefined : whoInWindows(new BroadcastChannel(WHO_CHANNEL), () => void visits.elsewhere().catch(() => undefined));
const visits = visitsOf({
  shell,
  screens,
  doors,
  given: { api, request, holding, device, sending, ground, halfDone, photos, tablet, speak, deviceId, tryAgain },
  arrived(now, farm) {
    who = now;
    tellWindows(now);
    const crew = now.farms.find(({ id }) => id === farm?.id)?.crew_id ?? null;
    if (crew !== null) device.set("crew", crew); // a foreman marks for the own crew
    if (now.device !== null) device.set("tablet", now.device.id);
    if (now.state === "device" && persisted === null) void askToPersist();
    if (farm !== null) device.set("farm", farm.id);
    // whoever was let in may send what waited at the door, and takes blocks along once the screen has read its own
    setTimeout(() => lookNow(), AFTER_ARRIVAL_MS);
    void nameBlocks();
  },
});

/** The service answered. */
function hears(): void {
  answered = true;
  lastAnswer = new Date();
  memory.setLastHeard(lastAnswer);
}

function shortcomings(): Shortcoming[] {
  const found: Shortcoming[] = [];
  if (!window.isSecureContext) found.push("plainHttp");
  else if (!("serviceWorker" in navigator)) found.push("noWorker");
  const trouble = outbox.trouble();
  if (held) found.push("heldOpen");
  else if (trouble !== null) found.push(trouble);
  // on plain http no browser can promise it, home screen or not
  if (persisted === false && window.isSecureContext) found.push("mayBeEmptied");
  return found;
}

function draw(): void {
  const { busy, because, skew_s, known } = sync.standing();
  const entries = sending.entries();
  const unsafe = sending.unsafe();
  const shown = { answered, lastAnswer, asOf, isOfEarlierSeason };
  const clock = { skew_s, known_skew_s: known?.skew_s ?? null };
  shell.showStanding({ ...shown, ...clock, entries, unsafe, photos: photosWait, refusedPhotos, busy, because, shortcomings: shortcomings(), update, outdated });
}

async function askToPersist(): Promise<void> {
  persisted = (await navigator.storage?.persist?.().catch(() => false)) ?? false;
  draw();
}

/** Learn how people call the blocks, for the list of what waits. */
async function nameBlocks(): Promise<void> {
  const farmId = visits.farm();
  const overview = farmId === null ? null : await ground.overview(farmId);
  for (const { id, code } of overview?.value.blocks ?? []) codes.set(id, code);
}

/** Send what waits, and draw what the screen shows from the service. */
async function tryAgain(): Promise<void> {
  const sent = await sending.tryAgain();
  if (sent > 0) shell.announce(SHELL.savedNow(sent));
  if (visits.isDead()) return visits.show();
  await visits.readNames().catch(() => undefined);
  visits.shown().newer(0);
}

/** Photos follow the checks that they belong to. */
async function sendPhotos(): Promise<void> {
  const kept = await photos().catch(() => null);
  if (kept === null) return;
  const waiting = await kept.send().catch(() => photosWait);
  const refused = await kept.refused().catch(() => refusedPhotos);
  if (waiting === photosWait && refused.length === refusedPhotos.length) return;
  photosWait = waiting;
  refusedPhotos = refused;
  draw();
}

/** Do what loads the pages again, unless something is on this page only. */
function unlessLost(load: () => void): void {
  if (sending.unsafe() > 0) shell.announce(QUEUE.keepOpen);
  else load();
}

function speak(code: string): void {
  unlessLost(() => {
    memory.setLanguage(code);
    location.reload();
  });
}

window.addEventListener("popstate", () => void visits.show());
window.addEventListener("beforeunload", (event) => {
  if (sending.unsafe() > 0) event.preventDefault();
});
guardDoubleTaps();
document.body.append(stripPatterns());
draw();
ground.listen(() => void nameBlocks());
sending.listen(() => void sendPhotos());
void kept.open().then(() => sync.kick());
void visits.show();
const lookNow = follow({
  api,
  ground,
  sync,
  visits,
  farmId() {
    const id = visits.farm();
    // at the door nobody follows the farm that was looked at before
    return id !== null && who !== null && roleAt(who, id) !== null ? id : null;
  },
  own: () => [...new Set(sending.entries().map(({ subject }) => subject.block))],
  waiting,
  async settle() {
    await holding.settle();
    await sendPhotos();
  },
  answered: () => answered,
  wasLost: () => wasLost,
  // the packs of all blocks cost the service more than everything that an overview asks
  isBusy: () => location.pathname === "/" && performance.now() < OVERVIEW_READS_MS,
  back() {
    wasLost = false;
    hears();
    draw();
  },
  tryAgain,
});
if ("serviceWorker" in navigator) {
  const newer = (take: (() => void) | null): void => {
    update = take === null ? null : () => unlessLost(take);
    draw();
  };
  // refused (a certificate that is not trusted): the pages work with a connection, and say so
  void watchWorker(navigator.serviceWorker, { waiting: newer }, () => location.reload()).catch(() => undefined);
}
