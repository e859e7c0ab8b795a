import { describe, expect, test } from "vitest";
import { readPo } from "../../build/po";
import { askedIn, escapedIn } from "./sentences";

// the worker has no storage, and so no language
const sources = Object.entries(
  import.meta.glob<string>(["../../src/**/*.ts", "!../../src/sw/*", "!../../src/**/*.d.ts"], { query: "?raw", import: "default", eager: true }),
);
const catalogues = Object.entries(import.meta.glob<string>("../../locale/*.po", { query: "?raw", import: "default", eager: true }));
const styles = Object.values(import.meta.glob<string>("../../src/**/*.css", { query: "?raw", import: "default", eager: true }));
const classes = new Set(styles.flatMap((style) => [...style.matchAll(/\.([a-z][\w-]*)/g)].map(([, name = ""]) => name)));
const asked = sources.flatMap(([, code]) => askedIn(code));
const gaps = (text: string): string[] => [...new Set(text.match(/\{\w+\}/g))].sort();

describe.each(catalogues)("%s", (_path, text) => {
  const { entries } = readPo(text);

  test("translates exactly what the screens say: nothing is missing, nothing is left of a sentence that changed", () => {
    expect(asked.length).toBeGreaterThan(600);
    expect(new Set(Object.keys(entries))).toEqual(new Set(asked.map(({ one }) => one)));
  });

  test("has a form for each number where one is counted, and one sentence elsewhere", () => {
    const wrong = asked.filter(({ one, many }) => Array.isArray(entries[one]) !== (many !== null));
    expect(wrong).toEqual([]);
  });

  test("fills the same gaps, but for a number that a form says in words, and ends as the English does", () => {
    for (const { one, many } of asked) {
      const forms = [entries[one] ?? ""].flat();
      forms.forEach((form, at) => {
        const english = many !== null && at > 0 ? many : one;
        const mayLack = many === null ? [] : ["{n}"];
        expect(gaps(form).filter((gap) => !gaps(english).includes(gap) && !mayLack.includes(gap)), english).toEqual([]);
        expect(gaps(english).filter((gap) => !gaps(form).includes(gap) && !mayLack.includes(gap)), english).toEqual([]);
        expect([form, /[.…]$/.test(form)], english).toEqual([form.trim(), /[.…]$/.test(english)]);
      });
    }
  });
});

test.each(sources)("no sentence of %s escapes the catalogue", (_path, code) => {
  expect(escapedIn(code, classes)).toEqual([]);
});

test("the search for sentences finds them where they hide, and nothing else", () => {
  const planted = `
    const words = "Mark the row again";
    h("p", { class: "two words", title: "Rows" }, isOpen ? "Open" : t("Closed"), \`\${n} trees\`);
    said.say("Gone.");
    box.textContent = "Left";
    throw new Error("It is not understood here.");
    const kind = found === "set_aside" ? "mark" : "crew_day";`;
  expect(escapedIn(planted)).toEqual(["Mark the row again", "Rows", "Open", "trees", "Gone.", "Left"]);
  expect(classes.size).toBeGreaterThan(50); // the style sheets were read
  expect(escapedIn(`box("rows two-rows"); h("p", {}, "rows")`, new Set(["rows", "two-rows"]))).toEqual(["rows"]);
  expect(() => askedIn("t(`Row ${n}`)")).toThrow("Not a literal");
});
