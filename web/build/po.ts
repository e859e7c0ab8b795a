/**
 * Catalogues of GNU gettext (manual, "The Format of PO Files") as modules of the pages: read as translators edit them, so
 * that no compiled copy can fall behind. Whatever is not whole is refused: a page would speak English in the middle.
 */

import type { Plugin } from "vite";

export interface PoFile {
  /** English sentence to its translation, or to one for each form of a number. */
  entries: Record<string, string | string[]>;
  /** What chooses among the forms: an expression of `n`, in the words that C and JavaScript share. */
  plural: string;
}

interface Entry {
  line: number;
  texts: Map<string, string>;
}

const HEADER = "";
const PLURAL_FORMS = /nplurals=(\d);\s*plural=([n\d\s()!=<>&|?:%]+);/;

/** Return what a catalogue says; an error names the line. */
export function readPo(text: string): PoFile {
  const entries: PoFile["entries"] = {};
  let forms = 0;
  let plural = "";
  for (const { line, texts } of statements(text)) {
    const english = texts.get("msgid");
    const many = texts.get("msgid_plural");
    const said = [...texts].filter(([keyword]) => keyword.startsWith("msgstr")).map(([, saying]) => saying);
    if (english === HEADER) {
      const found = PLURAL_FORMS.exec(said[0] ?? "");
      if (found === null) throw new Error(`line ${line}: the header has no Plural-Forms that are understood.`);
      [forms, plural] = [Number(found[1]), (found[2] ?? "").trim()];
      continue;
    }
    const wanted = many === undefined ? ["msgid", "msgstr"] : ["msgid", "msgid_plural", ...Array.from({ length: forms }, (_, n) => `msgstr[${n}]`)];
    if (english === undefined || [...texts.keys()].join() !== wanted.join()) throw new Error(`line ${line}: it is not ${wanted.join(", ")}.`);
    if (said.includes("")) throw new Error(`line ${line}: “${english}” is not translated.`);
    if (english in entries) throw new Error(`line ${line}: “${english}” comes twice.`);
    entries[english] = many === undefined ? (said[0] ?? "") : said;
  }
  if (plural === "") throw new Error("line 1: there is no header.");
  return { entries, plural };
}

function statements(text: string): Entry[] {
  const found: Entry[] = [];
  let last = "";
  for (const [at, raw] of text.split("\n").entries()) {
    const [line, number] = [raw.trim(), at + 1];
    if (line.startsWith("#~")) throw new Error(`line ${number}: it is of a sentence that is gone. Take it out.`);
    if (line.startsWith("#,") && line.includes("fuzzy")) throw new Error(`line ${number}: it is fuzzy. Look at it, and take the word out.`);
    if (line === "" || line.startsWith("#")) continue;
    const [, keyword = "", quoted = ""] = /^(?:(msgid|msgid_plural|msgstr(?:\[\d\])?)\s+)?(".*")$/.exec(line) ?? [];
    if (keyword === "msgid") found.push({ line: number, texts: new Map() });
    if (keyword !== "") last = keyword;
    const { texts } = found.at(-1) ?? { texts: null };
    if (texts === null || quoted === "" || (keyword !== "" && texts.has(keyword))) throw new Error(`line ${number}: ${line} is not understood.`);
    // with the escapes that a sentence can hold, a quoted string of the format is one of JSON's too
    texts.set(last, (texts.get(last) ?? "") + String(JSON.parse(quoted)));
  }
  return found;
}

/** Let `.po` files be imported: `entries`, and `form`, which tells the form that goes with a number. */
export function catalogues(): Plugin {
  return {
    name: "catalogues",
    transform(text, id) {
      if (!id.endsWith(".po")) return null;
      const { entries, plural } = readPo(text);
      return { code: `export const entries = ${JSON.stringify(entries)};\nexport const form = (n) => Number(${plural});\n`, map: null };
    },
  };
}
