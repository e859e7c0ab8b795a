import { describe, expect, it } from "vitest";
import { zoneMeant } from "../../src/core/time-zones";

const ZONES = ["America/Los_Angeles", "America/New_York", "Europe/London", "Europe/Lisbon", "Asia/Kolkata"];

describe("zoneMeant", () => {
  it("takes blanks for underscores and leaves capitals aside", () => {
    expect(zoneMeant("america/los angeles", ZONES)).toBe("America/Los_Angeles");
    expect(zoneMeant(" Los Ang", ZONES)).toBe("America/Los_Angeles");
    expect(zoneMeant("new york ", ZONES)).toBe("America/New_York");
  });
  it("never chooses between several, and finds none where none is meant", () => {
    expect(zoneMeant("Europe", ZONES)).toBeNull();
    expect(zoneMeant("Europe/Lndn", ZONES)).toBeNull();
    expect(zoneMeant("  ", ZONES)).toBeNull();
  });
  it("prefers the whole name to a part of another one", () => {
    expect(zoneMeant("Etc/GMT+1", ["Etc/GMT+1", "Etc/GMT+10"])).toBe("Etc/GMT+1");
  });
});
