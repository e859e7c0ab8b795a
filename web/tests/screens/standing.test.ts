import { describe, expect, it } from "vitest";
import type { Entry } from "../../src/core/outbox";
import { lineOf, needsQueue, type Standing } from "../../src/screens/shell/standing";

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

describe("how old what is shown is", () => {
  const now = Date.parse("2026-01-20T17:00:00Z");
  const line = (more: Partial<Standing>): string => {
    const standing: Standing = {
      answered: false,
      lastAnswer: null,
      asOf: null,
      entries: [],
      unsafe: 0,
      busy: false,
      because: null,
      skew_s: null,
      shortcomings: [],
      update: null,
      outdated: false,
    };
    return lineOf({ ...standing, ...more }, "UTC", now);
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
