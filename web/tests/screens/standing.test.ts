import { describe, expect, it } from "vitest";
import type { Entry } from "../../src/core/outbox";
import { needsQueue } from "../../src/screens/shell/standing";

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
