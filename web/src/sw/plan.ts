/** Which requests the service worker answers, and from where; everything else goes to the network as if it were not there. */

export interface Asked {
  method: string;
  mode: string;
  path: string;
  sameOrigin: boolean;
}
/**
 * `page`: the network for a moment, then the kept page. `file`: what is kept, else the network.
 * `other`: another page of the service, such as the map: the network, else a sentence.
 * `none`: not ours - above all nothing below /api, neither read nor written.
 */
export type Plan = "page" | "file" | "other" | "none";

/** Stands in the frame of the map while there is no connection. */
export const NEEDS_CONNECTION = "This needs a connection to the service. It comes back by itself when there is one.";

/** Return the plan for a request. `screens` are the addresses of the front end, `files` what is kept. */
export function planFor({ method, mode, path, sameOrigin }: Asked, screens: ReadonlySet<string>, files: ReadonlySet<string>): Plan {
  if (method !== "GET" || !sameOrigin || path.startsWith("/api/")) return "none";
  if (mode === "navigate") return screens.has(path) || path.startsWith("/R/") ? "page" : "other";
  return files.has(path) ? "file" : "none";
}
