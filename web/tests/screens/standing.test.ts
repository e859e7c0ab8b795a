import { describe, expect, it } from "vitest";
import type { Entry } from "../../src/core/outbox";
import { QUEUE } from "../../src/core/queue-wording";
import { bannersOf, connectionOf, lineOf, needsQueue, type Standing } from "../../src/screens/shell/standing";

const standing = (more: Partial<Standing>): Standing => ({
  answered: false, lastAnswer: null, asOf: "2026-01-12T09:00:00Z", isOfEarlierSeason: false, entries: [], unsafe: 0, photos: 0, refusedPhotos: [], busy: false,
  because: null, skew_s: null, known_skew_s: null, shortcomings: [], update: null, outdated: false, ...more,
});
const entry = (state: Entry["state"], seen = false): Entry => ({ id: "a", state, seen }) as Entry;

describe("the line about what waits", () => {
  it("is there for everybody who makes records, at the door for nobody", () => {
    expect((["manager", "foreman", "auditor"] as const).map((role) => needsQueue(role, []))).toEqual([true, true, true]);
    expect(needsQueue(null, [entry("waiting")])).toBe(false);
  });

  it("is there for an adviser only while something on the device has not been sent, or not been read", () => {
    expect(needsQueue("adviser", [entry("sent"), entry("set_aside", true), entry("refused", true)])).toBe(false);
    for (const state of ["waiting", "set_aside", "refused"] as const) expect(needsQueue("adviser", [entry(state)]), state).toBe(true);
    expect(needsQueue("adviser", [entry("waiting", true)])).toBe(true);
  });
});

it("a block read in another season is not passed off as how things stand", () => {
  for (const say of [connectionOf, (how: Standing, zone: string) => lineOf(how, zone, 0)]) {
    const said = (isOfEarlierSeason: boolean) => say(standing({ isOfEarlierSeason }), "UTC");
    expect(said(true)).toContain("earlier season");
    expect(said(false)).not.toContain("season");
  }
});

it("a service that answered other things is called slow, and not gone", () => {
  expect(connectionOf(standing({ answered: true }), "UTC")).toMatch(/^The service is slow: shown as of .* meanwhile/);
  expect(lineOf(standing({ answered: true }), "UTC", 0)).not.toContain("No connection");
  expect(connectionOf(standing({}), "UTC")).toMatch(/^No connection: shown as of/);
});

it("a clock is called wrong only by what this page heard: it may have been set right since an earlier one", () => {
  const banners = (more: Partial<Standing>) => bannersOf(standing(more), "UTC", 0).map(({ text }) => text);
  expect(banners({ known_skew_s: 86_400 })).toEqual([]);
  expect(banners({ skew_s: 86_400, known_skew_s: 86_400 })).toEqual([QUEUE.clock("24 hours", true)]);
});

describe("how old what is shown is", () => {
  const now = Date.parse("2026-01-20T17:00:00Z");
  const line = (more: Partial<Standing>): string => {
    return lineOf(standing({ asOf: null, ...more }), "UTC", now);
  };

  it("is said at the top, of rows that come from this device", () => {
    const asOf = "2026-01-20T06:30:00Z";
    expect(line({ asOf, lastAnswer: new Date(now) })).toMatch(/^All sent\. No connection: shown as of Tue,? 20 Jan,? (at )?06:30\.$/);
  });

  it("is else when the service was heard: the hour today, the day with it before", () => {
    expect(line({ lastAnswer: new Date("2026-01-20T06:30:00Z") })).toBe("All sent. Last heard from the service 06:30.");
    expect(line({ lastAnswer: new Date("2026-01-19T16:30:00Z") })).toMatch(/service Mon,? 19 Jan,? (at )?16:30\.$/);
    expect(line({})).toBe("All sent. Not heard from the service yet.");
  });
});
