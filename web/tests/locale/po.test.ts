import { describe, expect, test } from "vitest";
import { readPo } from "../../build/po";

const HEADER = 'msgid ""\nmsgstr ""\n"Plural-Forms: nplurals=2; plural=(n != 1);\\n"\n\n';

describe("a catalogue", () => {
  test("is read as it is written: escapes, several lines, forms of a number, comments", () => {
    const text = `${HEADER}#: a.ts\nmsgid "with \\"quotes\\""\nmsgstr ""\n"con "\n"\\"comillas\\""\n\nmsgid "{n} row"\nmsgid_plural "{n} rows"\nmsgstr[0] "{n} fila"\nmsgstr[1] "{n} filas"\n`;
    expect(readPo(text)).toEqual({
      entries: { 'with "quotes"': 'con "comillas"', "{n} row": ["{n} fila", "{n} filas"] },
      plural: "(n != 1)",
    });
  });

  test.each([
    ["not translated", 'msgid "a"\nmsgstr ""', /line 5.*not translated/],
    ["a form is missing", 'msgid "a"\nmsgid_plural "as"\nmsgstr[0] "b"', /line 5: it is not msgid/],
    ["a form is empty", 'msgid "a"\nmsgid_plural "as"\nmsgstr[0] "b"\nmsgstr[1] ""', /not translated/],
    ["fuzzy", '#, fuzzy\nmsgid "a"\nmsgstr "b"', /line 5: it is fuzzy/],
    ["gone", '#~ msgid "a"\n#~ msgstr "b"', /line 5.*gone/],
    ["twice", 'msgid "a"\nmsgstr "b"\nmsgid "a"\nmsgstr "c"', /line 7.*twice/],
    ["a context", 'msgctxt "c"\nmsgid "a"\nmsgstr "b"', /line 5/],
    ["no quotes", "msgid a", /line 5.*not understood/],
    ["nonsense", 'msgid "a"\nmsgstr "b"\nnonsense', /line 7.*not understood/],
  ])("is refused where it is not whole: %s", (_what, entry, why) => {
    expect(() => readPo(HEADER + entry)).toThrow(why);
  });

  test("is refused without a rule for numbers, and with one that does more than reckon", () => {
    expect(() => readPo('msgid "a"\nmsgstr "b"')).toThrow();
    expect(() => readPo(HEADER.replace("n != 1", "alert(n)"))).toThrow("Plural-Forms");
  });
});
