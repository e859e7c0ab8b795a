import { expect, it } from "vitest";
import { goodFirst, keyFacts, type ReadingKey } from "../../src/core/reading-keys-wording";

const KEY: ReadingKey = {
  id: "1",
  name: "QGIS in the office",
  sees: "all",
  made_by: "Olwen Vane",
  made_at: "2026-01-20T09:00:00Z",
  ends_on: "2027-01-20",
  last_used_at: null,
  ended_at: null,
  is_good: true,
};
const dayOf = (iso: string): string => iso.slice(0, 10);
const momentOf = (iso: string): string => `at ${iso.slice(11, 16)}`;
const facts = (changes: Partial<ReadingKey>): string => keyFacts({ ...KEY, ...changes }, dayOf, momentOf);

it("tells until when a key is good, what it sees, who made it and when it was used", () => {
  expect(facts({})).toBe("good up to 20 Jan 2027; sees all that an adviser reads; made by Olwen Vane, 20 Jan 2026; not used yet");
  expect(facts({ made_by: null, sees: "work", last_used_at: "2026-01-21T10:30:00Z" })).toBe(
    "good up to 20 Jan 2027; sees the work, without checks and weak areas; made by the shell, 20 Jan 2026; last used at 10:30",
  );
});

it("tells whether a key was ended or has run out", () => {
  expect(facts({ is_good: false })).toMatch(/^was good up to 20 Jan 2027; /);
  expect(facts({ is_good: false, ended_at: "2026-03-01T08:00:00Z" })).toMatch(/^ended 1 Mar 2026; /);
});

it("lists what still opens something first, else in the order that it came", () => {
  const key = (id: string, is_good: boolean): ReadingKey => ({ ...KEY, id, is_good });
  const sorted = goodFirst([key("a", false), key("b", true), key("c", false), key("d", true)]);
  expect(sorted.map(({ id }) => id)).toEqual(["b", "d", "a", "c"]);
});
