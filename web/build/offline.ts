/** Vite plugin for what the pages need to be an app of their own: icons, manifest, and the service worker's list. */

import { createHash } from "node:crypto";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import type { Plugin } from "vite";
import { iconPng, type IconColours } from "./icons.ts";

/** Where the front end's page is served; the service's list is `WEB_PATHS` in routes/pages.py, and a test compares them. */
export const SCREEN_PATHS = [
  "/", "/rows", "/checks", "/quality", "/settling", "/forecast", "/plan", "/briefs", "/timing", "/pay", "/farms", "/people", "/set-up", "/sign-in", "/first-start", "/pair",
];
const ASSETS = "assets/";
const ICONS = [
  { name: "icon-192.png", size: 192, scale: 0.94, purpose: "any" },
  { name: "icon-512.png", size: 512, scale: 0.94, purpose: "any" },
  // a mask may cut all but the middle four fifths of the width
  { name: "icon-maskable-512.png", size: 512, scale: 0.72, purpose: "maskable" },
];

function rgb(hex: string): readonly [number, number, number] {
  const at = (place: number): number => Number.parseInt(hex.slice(place, place + 2), 16);
  return [at(1), at(3), at(5)];
}

/** Emit icons and manifest, and put into sw.js what it keeps. */
export function offline(root: string): Plugin {
  const { palette } = JSON.parse(readFileSync(join(root, "src/ui/legend.json"), "utf8")) as { palette: Record<string, string> };
  const of = (name: string): readonly [number, number, number] => rgb(palette[name] ?? "#000000");
  const colours: IconColours = { paper: of("paper"), ink: of("ink"), pruned: of("pruned"), toPrune: of("to_prune") };
  const manifest = {
    id: "/",
    name: "orchardmap",
    short_name: "orchardmap",
    description: "Pruning of an apple orchard: rows, marks and checks, with or without a signal.",
    start_url: "/rows",
    scope: "/",
    display: "standalone",
    background_color: palette["paper"],
    theme_color: palette["paper"],
    icons: ICONS.map(({ name, size, purpose }) => ({ src: `/app/${name}`, sizes: `${size}x${size}`, type: "image/png", purpose })),
  };
  return {
    name: "offline",
    apply: "build",
    generateBundle() {
      for (const { name, size, scale } of ICONS) {
        this.emitFile({ type: "asset", fileName: name, source: iconPng(size, scale, colours) });
      }
      this.emitFile({ type: "asset", fileName: "manifest.webmanifest", source: `${JSON.stringify(manifest, null, 2)}\n` });
    },
    writeBundle: {
      order: "post",
      sequential: true,
      async handler({ dir }, bundle) {
        if (dir === undefined) throw new Error("The build needs a folder.");
        await putList(dir, Object.keys(bundle));
      },
    },
  };
}

/** Write the list of files into the built worker. It is made of what lies in the folder, as it is served. */
async function putList(folder: string, built: readonly string[]): Promise<void> {
  const { writeFileSync } = await import("node:fs");
  const kept = built.filter((name) => /^assets\/|^icon-192\.png$|^manifest\.webmanifest$/.test(name) || name === "icon.svg").sort();
  const hash = createHash("sha256");
  for (const name of [...kept, "index.html"]) hash.update(name).update(readFileSync(join(folder, name)));
  const worker = join(folder, "sw.js");
  const code = readFileSync(worker, "utf8");
  hash.update(code);
  const assets = kept.filter((name) => name.startsWith(ASSETS)).map((name) => name.slice(ASSETS.length));
  const others = kept.filter((name) => !name.startsWith(ASSETS)).map((name) => (name === "manifest.webmanifest" ? `/${name}` : `/app/${name}`));
  const files = [...new Set([...others, "/app/icon.svg"])];
  const list = JSON.stringify({ version: hash.digest("hex").slice(0, 16), assets, files, screens: SCREEN_PATHS });
  if (code.split("__KEEP__").length !== 2) throw new Error("sw.js must name __KEEP__ once.");
  if (/^\s*(import|export)\b/m.test(code)) throw new Error("sw.js must be one file: browsers without module workers read it.");
  writeFileSync(worker, code.replace("__KEEP__", () => list));
}
