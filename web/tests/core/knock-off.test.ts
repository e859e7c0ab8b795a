import { describe, expect, it } from "vitest";
import type { BlockLog, ShapeRow } from "../../src/core/contracts";
import {
  beginWith,
  dayBefore,
  dayWork,
  marksOfDay,
  newCrewDay,
  pace,
  saysNothingNew,
  standingEntries,
  type KeptCrewDay,
} from "../../src/core/knock-off";

const day = "2026-01-20";
const entry = (id: string, people: number, more: Partial<KeptCrewDay> = {}): KeptCrewDay => ({
  id,
  crew_id: "hollow",
  day,
  people,
  hours: 7.5,
  method: "ladder",
  ...more,
});

describe("the day's work", () => {
  const row: ShapeRow = { n: 3, p: 20, e: 0, parts: [], blanks: [4], pollinizers: [9] };
  const log: BlockLog = {
    id: "k1",
    season_id: "s",
    cursor: 1,
    epoch: "e",
    crews: [
      { id: "thorn", name: "Thorn" },
      { id: "hollow", name: "Hollow" },
    ],
    marks: [
      ["m1", 3, 1, 10, 1, day],
      ["m2", 3, 8, 12, 1, day],
      ["m3", 3, 13, 20, 0, day],
      ["m4", 3, 13, 14, 1, "2026-01-19"],
    ],
    settlements: [],
  };

  it("is what the crew's marks of the day cover, once, without blanks and pollinizers", () => {
    const marks = marksOfDay(log, "hollow", day);
    expect(marks.map(({ id }) => id)).toEqual(["m1", "m2"]);
    expect(dayWork(marks, (_, n) => (n === 3 ? row : undefined))).toEqual({ trees: 10, rows: 1, blocks: ["k1"] });
  });

  it("keeps the same row number of two blocks apart, and leaves out a row nobody knows", () => {
    const two = ["k1", "k2", "k3"].map((block) => ({ id: block, block, row: 3, first: 1, last: 3 }));
    expect(dayWork(two, (block) => (block === "k3" ? undefined : row))).toEqual({ trees: 6, rows: 2, blocks: ["k1", "k2"] });
  });

  it("is told as trees per person-hour; without trees or people there is no pace", () => {
    expect(pace(420, { people: 7, hours: 7.5 })).toBe(8);
    expect(pace(0, { people: 7, hours: 7.5 })).toBeNull();
    expect(pace(420, { people: 7, hours: 0 })).toBeNull();
  });
});

describe("entries of a crew's day", () => {
  it("stand unless another one replaces them", () => {
    const entries = [entry("1", 6), entry("2", 7, { replaces_id: "1" }), entry("3", 9, { crew_id: "thorn" }), entry("4", 5, { day: "2026-01-19" })];
    expect(standingEntries(entries, "hollow", day).map(({ id }) => id)).toEqual(["2"]);
    // the same record from the outbox and from the service is one
    expect(standingEntries([...entries, ...entries], "hollow", day).length).toBe(1);
    // two tablets entered one each: both stand, and are shown
    expect(standingEntries([...entries, entry("5", 4)], "hollow", day).map(({ id }) => id)).toEqual(["2", "5"]);
  });

  it("begin with the day's own, else yesterday's, else the crew's size and a usual day", () => {
    const crew = { people: 6, method: "platform" } as const;
    expect(beginWith(undefined, undefined, crew)).toEqual({ people: 6, hours: 8, method: "platform" });
    expect(beginWith(undefined, entry("1", 5), crew)).toEqual({ people: 5, hours: 7.5, method: "ladder" });
    expect(beginWith(entry("2", 7), entry("1", 5), crew).people).toBe(7);
    expect(beginWith(undefined, undefined, { people: [], method: "ground" }).people).toBe(1);
  });

  it("a correction names what it replaces", () => {
    const context = { seasonId: "s", crewId: "hollow", day, deviceId: "d", recorderId: "p" };
    const entered = { people: 7, hours: 7.5, method: "ladder" } as const;
    expect(newCrewDay(context, entered, "1", { id: "2", at: "t" })).toEqual({
      id: "2",
      season_id: "s",
      crew_id: "hollow",
      day,
      people: 7,
      hours: 7.5,
      method: "ladder",
      recorder_id: "p",
      replaces_id: "1",
      device_id: "d",
      device_at: "t",
    });
    expect("replaces_id" in newCrewDay(context, entered, null, { id: "2", at: "t" })).toBe(false);
  });
});

it("the day before, over month and year", () => {
  expect([dayBefore("2026-01-01"), dayBefore("2026-03-01")]).toEqual(["2025-12-31", "2026-02-28"]);
});

it("entering the day again as it stands is no correction; other figures are, and so is choosing between two entries", () => {
  const entered = { people: 4, hours: 7.5, method: "ladder" } as const;
  expect(saysNothingNew([entry("d1", 4)], entered)).toBe(true);
  expect(saysNothingNew([], entered)).toBe(false);
  expect(saysNothingNew([entry("d1", 4), entry("d2", 5)], entered)).toBe(false);
  for (const other of [{ people: 5 }, { hours: 8 }, { method: "platform" as const }]) {
    expect(saysNothingNew([entry("d1", 4)], { ...entered, ...other }), JSON.stringify(other)).toBe(false);
  }
});
