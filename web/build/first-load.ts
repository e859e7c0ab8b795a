/** Vite plugin: the page names the files that `boot.ts` goes on to, so that they are fetched at once and not one after the other. */

import type { Plugin } from "vite";

/** What the entry imports once the language is known. */
const GOES_ON_TO = /\/src\/main\.ts$/;

/** Put links to the code and style of the composition root into the built page. */
export function firstLoad(): Plugin {
  return {
    name: "first-load",
    apply: "build",
    transformIndexHtml: {
      order: "post",
      handler(html, { bundle }) {
        const chunks = new Map(Object.values(bundle ?? {}).flatMap((one) => (one.type === "chunk" ? [[one.fileName, one] as const] : [])));
        const begin = [...chunks.values()].find(({ moduleIds }) => moduleIds.some((id) => GOES_ON_TO.test(id)));
        if (begin === undefined) throw new Error("The build has no chunk of main.ts.");
        const found = new Set([begin.fileName]); // grows while it is walked through
        for (const name of found) for (const next of chunks.get(name)?.imports ?? []) found.add(next);
        const styles = new Set([...found].flatMap((name) => [...(chunks.get(name)?.viteMetadata?.importedCss ?? [])]));
        const link = (rel: string, name: string) => ({ tag: "link", attrs: { rel, crossorigin: true, href: `/app/${name}` }, injectTo: "head" as const });
        return [
          ...[...found].filter((name) => !html.includes(name)).map((name) => link("modulepreload", name)),
          ...[...styles].filter((name) => !html.includes(name)).map((name) => link("stylesheet", name)),
        ];
      },
    },
  };
}
