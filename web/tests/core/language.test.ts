import { afterEach, expect, test } from "vitest";
import { language, languageFor, speak, t, tn } from "../../src/core/language";

afterEach(() => speak("en", {}));

test("a sentence stands in English until another language is spoken", () => {
  expect(t("Row {n}", { n: 4 })).toBe("Row 4");
  speak("es", { "Row {n}": "Fila {n}" });
  expect([language(), t("Row {n}", { n: 4 })]).toEqual(["es", "Fila 4"]);
});

test("what the catalogue lacks is said in English, and a name nobody fills stays", () => {
  speak("es", {});
  expect(t("Row {n}")).toBe("Row {n}");
});

test("the form goes with the number, in English and by the catalogue's own rule", () => {
  expect([tn("{n} tree", "{n} trees", 1), tn("{n} tree", "{n} trees", 0)]).toEqual(["1 tree", "0 trees"]);
  speak("pl", { "{n} tree": ["{n} drzewo", "{n} drzewa", "{n} drzew"] }, (n) => (n === 1 ? 0 : n < 5 ? 1 : 2));
  expect([1, 3, 7].map((n) => tn("{n} tree", "{n} trees", n))).toEqual(["1 drzewo", "3 drzewa", "7 drzew"]);
});

test("a count has its thousands set apart, in Spanish from the first on", () => {
  expect(tn("{n} tree", "{n} trees", 64_212)).toBe("64,212 trees");
  speak("es", { "{n} tree": ["{n} árbol", "{n} árboles"] });
  expect(tn("{n} tree", "{n} trees", 1_234)).toBe("1.234 árboles");
});

test("the chosen language is spoken, else the first one wished for that is known, else English", () => {
  const known = ["en", "es"];
  expect(languageFor("es", ["en-GB"], known)).toBe("es");
  expect(languageFor(null, ["de-DE", "es-MX", "en"], known)).toBe("es");
  expect(languageFor(null, ["de", "fr"], known)).toBe("en");
  expect(languageFor("xx", ["ES"], known)).toBe("es"); // a catalogue that was there once
});
