import { afterEach, describe, expect, it } from "vitest";
import type { PointKind } from "../../src/core/brief-contracts";
import { cardLanguages, changed, KIND_USES, kindsOf, languagesOf, moved, ofKind, ownKey, ownPoint, readingLanguage, withCaution, without, withNote, withPoint } from "../../src/core/brief-points";
import { speak } from "../../src/core/language";
import pointKinds from "../../../tests/vectors/briefs/point_kinds.json";
import { content, LIMBS, point, THIN } from "./brief-kit";
import { randomOf } from "./seeded";

const FOUR = ["a", "b", "c", "d"].map((key) => point(key));
const keys = (points: readonly { key: string }[]): string => points.map(({ key }) => key).join("");

afterEach(() => speak("en", {}));

describe("the order of points", () => {
  it("one is moved past its neighbour, and stays at either end", () => {
    expect(keys(moved(FOUR, "b", -1))).toBe("bacd");
    expect(keys(moved(FOUR, "b", 1))).toBe("acbd");
    expect(moved(FOUR, "a", -1)).toBe(FOUR);
    expect(moved(FOUR, "d", 1)).toBe(FOUR);
    expect(moved(FOUR, "x", 1)).toBe(FOUR);
  });

  it("whatever is moved, no point is lost or made, and back again is as before", () => {
    const random = randomOf(7);
    let now: readonly (typeof FOUR)[number][] = FOUR;
    for (let step = 0; step < 200; step += 1) {
      const key = "abcd"[Math.floor(random() * 4)] ?? "a";
      const by = random() < 0.5 ? -1 : 1;
      const next = moved(now, key, by);
      expect([...next].sort((one, other) => one.key.localeCompare(other.key))).toEqual(FOUR);
      if (next !== now) expect(moved(next, key, -by)).toEqual(now);
      now = next;
    }
  });

  it("what was taken out and put back in its place is the brief as it was", () => {
    FOUR.forEach((one, at) => expect(withPoint(without(FOUR, one.key), one, at)).toEqual(FOUR));
  });
});

describe("a content that goes out as it came in", () => {
  it("is the same to the letter, the order of languages too, but for what was changed", () => {
    const before = content([LIMBS, THIN, point("no-stub")], { notes: { es: "Nota", en: "Note" } });
    const after = { ...before, points: changed(before.points, "limb-over-half", { source: "Somebody" }) };
    const undone = { ...after, points: changed(after.points, "limb-over-half", { source: THIN.source }) };
    expect(JSON.stringify(undone)).toBe(JSON.stringify(before));
    expect(after.points[0]).toBe(before.points[0]);
    expect(after.points[1]).toEqual({ ...THIN, source: "Somebody" });
  });

  it("is written in the languages of its points, the first one first", () => {
    expect(languagesOf(content([LIMBS, point("a")]))).toEqual(["es", "en"]);
    expect(languagesOf(content([]))).toEqual([]);
  });
});

it("a brief is read in the language spoken here where it is written in it, else in its first", () => {
  const both = content([LIMBS]);
  expect([readingLanguage(both), readingLanguage(content([]))]).toEqual(["en", "en"]);
  speak("es", {});
  expect(readingLanguage(both)).toBe("es");
  expect(readingLanguage(content([point("a", { sentences: { pl: "Zrób.", en: "Do." } })]))).toBe("pl");
});

describe("the key of a point of one's own", () => {
  it("is lower case, digits and hyphens, whatever the sentence, and no other point has it", () => {
    const form = /^[a-z0-9]+(-[a-z0-9]+)*$/;
    const taken: string[] = [];
    const sentences = ["Cut close, leave no stub!", "Cut close, leave no stub!", "Quíbrelo", "", "", "—", "日本", "x".repeat(300), `${"long word ".repeat(30)}`];
    for (const sentence of sentences) {
      const key = ownKey(sentence, taken);
      expect(key).toMatch(form);
      expect(taken).not.toContain(key);
      taken.push(key);
    }
    expect(taken.slice(0, 3)).toEqual(["cut-close-leave-no-stub", "cut-close-leave-no-stub-2", "quibrelo"]);
    expect(Math.max(...taken.map(({ length }) => length))).toBeLessThanOrEqual(42);
  });

  it("comes with a point that lacks only the other languages", () => {
    const made = ownPoint("Look up.", ["es", "en"], "dead-wood", ["look-up"]);
    expect([made.key, made.sentences]).toEqual(["look-up-2", { es: "Look up.", en: "" }]);
    expect(ownPoint("Look up.", [], "dead-wood", []).sentences).toEqual({ en: "Look up." });
  });
});

describe("a point of another kind", () => {
  it("is offered the limits and units that the library takes", () => {
    // the same file that `tests/unit/test_point_kinds.py` holds against the library
    expect(KIND_USES).toEqual(pointKinds);
  });

  it("keeps no limit and no unit that the new kind does not use", () => {
    for (const from of [LIMBS, THIN, point("length", { kind: "at_least", low: 30, unit: "cm" })]) {
      for (const kind of Object.keys(KIND_USES) as PointKind[]) {
        const now = ofKind(from, kind);
        const uses = KIND_USES[kind];
        expect(uses.units).toContain(now.unit);
        if (!uses.low) expect(now.low).toBeNull();
        if (!uses.high) expect(now.high).toBeNull();
      }
    }
  });

  it("keeps a length that turns from a least into a most, and takes no share for a number of limbs", () => {
    expect(ofKind(point("length", { kind: "at_least", low: 30, unit: "cm" }), "at_most")).toMatchObject({ low: null, high: 30, unit: "cm" });
    expect(ofKind(THIN, "count")).toMatchObject({ low: null, high: null, unit: "limbs" });
    expect(ofKind(LIMBS, "count")).toEqual({ kind: "count", low: 18, high: 22, unit: "limbs" });
  });
});

describe("notes and cautions", () => {
  it("a note of blanks is none", () => {
    const noted = content([], { notes: { en: "One" } });
    expect(withNote(noted, "es", "Uno")).toEqual({ en: "One", es: "Uno" });
    expect(withNote(noted, "en", "  ")).toEqual({});
  });

  it("cautions stand in the order of the list, each once; one that is not in it stays, last", () => {
    const order = ["ladder", "eyes", "slope"];
    expect(withCaution(content([], { cautions: ["eyes", "own"] }), "ladder", true, order)).toEqual(["ladder", "eyes", "own"]);
    expect(withCaution(content([]), "eyes", true, order)).toEqual(["ladder", "eyes"]);
    expect(withCaution(content([]), "ladder", false, order)).toEqual(["eyes"]);
  });
});

it("a kind that was left has its limits again when it is taken anew, as by arrow keys", () => {
  const asKind = kindsOf();
  const ratio = { ...LIMBS, ...asKind(LIMBS, "ratio") };
  expect([ratio.low, ratio.high]).toEqual([null, null]);
  const length = { ...ratio, ...asKind({ ...ratio, high: 0.5 }, "at_least") };
  expect(asKind(length, "ratio").high).toBe(0.5);
  expect({ ...length, ...asKind(length, "count") }).toEqual(LIMBS);
});

it("a card is offered in the languages that cards are made in", () => {
  const polish = point("a", { sentences: { pl: "Zrób.", es: "Haga." } });
  expect(cardLanguages(content([polish]), ["en", "es"])).toEqual(["es"]);
  expect(cardLanguages(content([point("a", { sentences: { pl: "Zrób." } })]), ["en", "es"])).toEqual(["en", "es"]);
});
