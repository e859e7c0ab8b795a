import { describe, expect, it } from "vitest";
import type { Hazard } from "../../src/core/brief-contracts";
import { areRead, cautionsRead, hazardsRead, isUnread, languageOf, newHazards, newsIn, readFrom, readOf } from "../../src/core/brief-reading";
import generalCautions from "../../src/core/general-cautions.json";
import { languageName } from "../../src/core/language-names";
import { briefOf, point } from "./brief-samples";

const [stubs, light, limbs] = [point("stubs"), point("light"), point("limbs", { low: 18, high: 22 })];
const first = briefOf(1, [stubs, light, limbs]);
/** What the tablet remembers, as it comes off its shelf. */
const read = (brief = first, language = "en") => readFrom(JSON.stringify(readOf(brief, language)));
const known = read() ?? expect.fail("nothing was kept");

describe("what is new in a version", () => {
  it("nothing, when it is the one that was read", () => {
    expect(newsIn(first, known)).toEqual({ points: new Set(), gone: [], parts: [] });
  });

  it("points that came or say something else, and in the words read those that went", () => {
    const next = briefOf(2, [stubs, { ...limbs, high: 24 }, point("leader")]);
    expect(newsIn(next, known)).toEqual({ points: new Set(["limbs", "leader"]), gone: ["Do light."], parts: [] });
    expect(newsIn(next, read(first, "es") ?? known).gone).toEqual(["Haga light."]);
  });

  it("each of what a crew is shown of a point; not where its number was published", () => {
    const changes = [{ sentences: { en: "Do it." } }, { picture: "other" }, { low: 1 }, { unit: "cm" }, { point_class: "minor" }, { is_checked: false }] as const;
    for (const change of changes) expect(newsIn(briefOf(2, [{ ...stubs, ...change }, light, limbs]), known).points, JSON.stringify(change)).toEqual(new Set(["stubs"]));
    const sourced = { ...stubs, source: "a paper" };
    expect(newsIn(briefOf(2, [sourced, light, limbs]), known).points.size).toBe(0);
  });

  it("the order alone, the target, the notes, the cautions", () => {
    expect(newsIn(briefOf(2, [light, stubs, limbs]), known)).toEqual({ points: new Set(), gone: [], parts: ["order"] });
    // a point that came or went moves none of the others
    expect(newsIn(briefOf(2, [point("leader"), stubs, limbs]), known).parts).toEqual([]);
    const content = { ...first.content, notes: { en: "Row 3 last." }, bud_target: { ...first.content.bud_target, buds_per_limb: 7 } };
    expect(newsIn({ ...first, content }, known).parts).toEqual(["target", "notes"]);
    const { en, es } = first.texts;
    if (en === undefined || es === undefined) throw new Error("no texts");
    expect(newsIn({ ...first, texts: { en: { ...en, cautions: ["The law decides."] }, es } }, known).parts).toEqual(["cautions"]);
  });
});

describe("whether a version must be read", () => {
  it("yes while none was, and whenever it is newer, even if it says the same again", () => {
    expect([isUnread(first, null), isUnread(first, known), isUnread({ ...first, version: 2 }, known)]).toEqual([true, false, true]);
  });

  it("not the older one that is on the tablet after the newer was shown by the service", () => {
    const newer = read(briefOf(2, [stubs]));
    expect(isUnread(first, newer)).toBe(false);
  });

  it("yes when a database that was put back has another one of the same number", () => {
    expect(isUnread(briefOf(1, [stubs]), known)).toBe(true);
  });

  it("yes when what was kept is none of ours", () => {
    for (const text of [null, "", "null", "7", "{}", '{"version":1}', '{"version":"1","points":[],"parts":{}}']) expect(readFrom(text), String(text)).toBeNull();
  });
});

describe("languages", () => {
  it("the one picked, else the one it was written in first", () => {
    expect(["es", "en", "pl"].map((picked) => languageOf({ es: 1, en: 1 }, picked))).toEqual(["es", "en", "es"]);
    expect(languageOf({}, "en")).toBeNull();
  });

  it("those offered are those the general cautions are in, each by its own name", () => {
    expect(Object.keys(generalCautions)).toEqual(["en", "es"]);
    expect(["en", "es"].map(languageName)).toEqual(["English", "Español"]);
  });
});

describe("cautions that were read", () => {
  const { en = [], es = [] } = generalCautions as Record<string, string[]>;

  it("are those in the very words read, in no other language, whatever else was read since", () => {
    const kept = cautionsRead(en, null);
    expect([areRead(en, kept), areRead(es, kept), areRead(en.slice(1), kept), areRead([...en, "One more."], kept)]).toEqual([true, false, true, false]);
    const both = cautionsRead(es, kept);
    expect([areRead(en, both), areRead(es, both)]).toEqual([true, true]);
  });
  it("are none where nothing is kept, or nothing of ours", () => {
    for (const broken of [null, "", "x", "{}", "7"]) expect(areRead(en, broken)).toBe(false);
  });
  it("are forgotten oldest first, and kept when they are read again", () => {
    const many = Array.from({ length: 199 }, (_, at) => `Caution ${at}.`);
    const kept = cautionsRead(["Now."], cautionsRead(["First."], cautionsRead(many, cautionsRead(["First."], null))));
    expect([areRead(["First.", "Now."], kept), areRead(many.slice(1), kept), areRead(many.slice(0, 1), kept)]).toEqual([true, true, false]);
  });
});

describe("hazards that were read", () => {
  const hazard = (text: string): Hazard => ({ key: "closure", rows: [], texts: { en: text, es: `${text} (es)` } });
  const all = ["Slope.", "Closed on Monday.", "Closed on Tuesday."].map(hazard);

  it("are no news, in whatever order, nor when fewer are left; any other one is", () => {
    const read = hazardsRead(all);
    expect(newHazards([...all].reverse(), read)).toEqual([]);
    expect(newHazards(all.slice(1), read)).toEqual([]);
    expect(newHazards(all, hazardsRead(all.slice(0, 2)))).toEqual(all.slice(2));
    expect(newHazards([hazard("Closed on Mondays.")], read)).toHaveLength(1);
  });

  it("are all news where nothing was read, or what is kept is none of ours", () => {
    for (const kept of [null, "", "{", "7", "[]", '[""]']) expect(newHazards(all, kept)).toEqual(all);
    expect(newHazards([], null)).toEqual([]);
  });
});
