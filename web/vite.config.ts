/** Build into dist/: index.html for every screen, hashed assets under /app/, and the licences of what is bundled. */

import { existsSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { defineConfig, type Plugin } from "vite";
import { firstLoad } from "./build/first-load.ts";
import { offline } from "./build/offline.ts";
import { catalogues } from "./build/po.ts";

/** Return the package a bundled module comes from, or null for our own. */
function packageFolder(moduleId: string): string | null {
  const found = /^(.*\/node_modules\/(?:@[^/]+\/)?[^/]+)\//.exec(moduleId);
  return found?.[1] ?? null;
}

/** List every package whose code ended up in the bundle, with its licence text. */
function thirdParty(): Plugin {
  return {
    name: "third-party",
    generateBundle(_, bundle) {
      const folders = new Set<string>();
      let helper = false;
      for (const chunk of Object.values(bundle)) {
        if (chunk.type !== "chunk") continue;
        for (const id of Object.keys(chunk.modules)) {
          const folder = packageFolder(id);
          if (folder !== null) folders.add(folder);
          if (id.startsWith("\0vite/")) helper = true;
        }
      }
      if (helper) folders.add(join(import.meta.dirname, "node_modules/vite"));
      const parts = [...folders].sort().map((folder) => {
        const about = JSON.parse(readFileSync(join(folder, "package.json"), "utf8"));
        const file = ["LICENSE.md", "LICENSE", "LICENSE.txt", "license"].find((name) => existsSync(join(folder, name)));
        if (file === undefined) throw new Error(`${about.name} is bundled but carries no licence text.`);
        return `${about.name} ${about.version} (${about.license})\n\n${readFileSync(join(folder, file), "utf8")}`;
      });
      const body = parts.length === 0 ? "No code of others is bundled in these pages.\n" : parts.join("\n\n----\n\n");
      this.emitFile({ type: "asset", fileName: "THIRD-PARTY.txt", source: body });
    },
  };
}

export default defineConfig({
  base: "/app/",
  plugins: [catalogues(), firstLoad(), thirdParty(), offline(import.meta.dirname)],
  // browsers with modules preload them by themselves; without the polyfill nothing of others is bundled
  build: {
    modulePreload: { polyfill: false },
    target: "es2022",
    sourcemap: false,
    assetsInlineLimit: 0,
    rolldownOptions: {
      input: { index: join(import.meta.dirname, "index.html"), sw: join(import.meta.dirname, "src/sw/sw.ts") },
      // the worker's address never changes: it is asked for anew at every visit
      output: {
        entryFileNames: (chunk) => (chunk.name === "sw" ? "sw.js" : "assets/[name]-[hash].js"),
        // two files begin every visit, each with all that it imports: one that learns the language, and what goes on from there
        codeSplitting: {
          groups: [
            { name: "boot", test: /\/src\/boot\.ts$/, priority: 2 },
            { name: "main", test: /\/src\/main\.ts$/, priority: 1 },
            // what the overview shares with other screens, in one file: each by itself is a question more before the first figure stands there
            { name: "shared", test: /\/src\/(core\/(knock-off|pay-money|timing|finish-wording)|ui\/sortable-table|data\/(timing|forecast)-api)\.(ts|css)$/ },
          ],
        },
      },
    },
  },
  server: { proxy: { "/api": "http://127.0.0.1:8000", "/map": "http://127.0.0.1:8000" } },
  // the search for sentences reads the style sheets as text: class names are none
  test: { include: ["tests/**/*.test.ts"], css: { include: [/\.css\?raw/] } },
});
