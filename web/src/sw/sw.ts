/**
 * The service worker: opens the pages without a connection. It keeps pages only; records are the outbox's.
 *
 * A newer worker waits until the page says "take over", so that nobody's code changes while they mark.
 */

import { NEEDS_CONNECTION, planFor } from "./plan";

declare const self: ServiceWorkerGlobalScope;
/** Put in by the build: what to keep, and a name that changes with its content. */
declare const __KEEP__: { version: string; assets: string[]; files: string[]; screens: string[] };

const { version, assets, files, screens } = __KEEP__;
const PREFIX = "orchardmap-pages-";
const NAME = PREFIX + version;
/** The one page of all screens. */
const PAGE = "/";
/** A network that does not bring the page by then has none. */
const PAGE_LIMIT_MS = 2_000;
const screenSet = new Set(screens);
// the list is half of this file, so what all of them begin with is said once
const fileSet = new Set([...assets.map((name) => `/app/assets/${name}`), ...files]);

self.addEventListener("install", (event) => {
  // all or nothing: a worker that could not keep everything is not installed, and the one before goes on
  event.waitUntil(
    caches.open(NAME).then((cache) => cache.addAll([PAGE, ...fileSet].map((path) => new Request(path, { cache: "reload" })))),
  );
});

self.addEventListener("activate", (event) => {
  event.waitUntil(dropOlder());
});

async function dropOlder(): Promise<void> {
  const names = await caches.keys();
  const older = names.filter((name) => name.startsWith(PREFIX) && name !== NAME);
  await Promise.all(older.map((name) => caches.delete(name)));
  // the first one belongs to the page that registered it; a later one leaves the open pages as they are
  if (older.length === 0) await self.clients.claim();
}

self.addEventListener("message", (event) => {
  const told = event.data as { say?: unknown; script?: unknown } | null;
  const isOwnPage = told?.say === "running" && typeof told.script === "string" && fileSet.has(told.script);
  if (told?.say === "take over" || isOwnPage) void self.skipWaiting();
});

self.addEventListener("fetch", (event) => {
  const address = new URL(event.request.url);
  const { method, mode } = event.request;
  const asked = { method, mode, path: address.pathname, sameOrigin: address.origin === self.location.origin };
  const plan = planFor(asked, screenSet, fileSet);
  if (plan === "page") event.respondWith(page(event.request));
  else if (plan === "other") event.respondWith(fetch(event.request).catch(sorry));
  else if (plan === "file") event.respondWith(file(event.request, address.pathname));
});

/** Return the page from the network, or the kept one when the network has none in time or is in trouble. */
async function page(request: Request): Promise<Response> {
  const kept = await caches.match(PAGE, { cacheName: NAME });
  if (kept === undefined) return fetch(request);
  const giveUp = new AbortController();
  const timer = setTimeout(() => giveUp.abort(), PAGE_LIMIT_MS);
  try {
    const answer = await fetch(request, { signal: giveUp.signal });
    return answer.status >= 500 ? kept : answer;
  } catch {
    return kept;
  } finally {
    clearTimeout(timer);
  }
}

function sorry(): Response {
  return new Response(NEEDS_CONNECTION, { status: 503, headers: { "Content-Type": "text/plain; charset=utf-8" } });
}

/** Return a kept file; its name changes with its content, so it is never out of date. */
async function file(request: Request, path: string): Promise<Response> {
  return (await caches.match(path, { cacheName: NAME })) ?? fetch(request);
}
