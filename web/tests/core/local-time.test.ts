import { describe, expect, it } from "vitest";
import { momentAt, wallTime } from "../../src/core/local-time";

describe("the clock on the farm's wall", () => {
  it.each([
    // the days of change are those of the tz database: 28 March and 31 October 2027 in Europe, 14 March 2027 in America
    ["Europe/London", "2027-01-20T14:30", "2027-01-20T14:30:00.000Z"],
    ["Europe/London", "2027-06-20T14:30", "2027-06-20T13:30:00.000Z"],
    ["Europe/Rome", "2027-03-28T01:59", "2027-03-28T00:59:00.000Z"],
    ["Europe/Rome", "2027-03-28T03:00", "2027-03-28T01:00:00.000Z"],
    ["America/Los_Angeles", "2027-03-14T03:00", "2027-03-14T10:00:00.000Z"],
    ["Asia/Kathmandu", "2027-01-20T00:00", "2027-01-19T18:15:00.000Z"],
    ["Pacific/Auckland", "2027-01-01T00:15", "2026-12-31T11:15:00.000Z"],
  ])("in %s shows %s at %s", (zone, wall, moment) => {
    expect(momentAt(zone, wall)).toBe(moment);
    expect(wallTime(zone, Date.parse(moment))).toBe(wall);
  });
  it("takes the first of the two moments when clocks go back, and one hour later for an hour that is left out", () => {
    expect(momentAt("Europe/Rome", "2027-10-31T02:30")).toBe("2027-10-31T00:30:00.000Z");
    expect(momentAt("Europe/Rome", "2027-03-28T02:30")).toBe("2027-03-28T01:30:00.000Z");
  });
  it("comes back to what was entered, every half hour of a week with a change", () => {
    for (let at = Date.parse("2027-10-28T00:00Z"); at < Date.parse("2027-11-04T00:00Z"); at += 1_800_000) {
      const wall = wallTime("Europe/Rome", at);
      expect(wallTime("Europe/Rome", Date.parse(momentAt("Europe/Rome", wall) ?? ""))).toBe(wall);
    }
  });
  it("is none where nothing is entered", () => expect(momentAt("UTC", "")).toBeNull());
});
