import { describe, expect, it } from "vitest";
import mapLayer from "../../../orchardmap/maps/assets/layer.js?raw";
import shares from "../../../tests/vectors/numbers/shares.json";
import { count, dayText, hourText, momentText, percent, typedNumber } from "../../src/core/numbers";

describe("percent", () => {
  it.each(shares as [number, number, string][])("%i of %i is %s", (part, whole, text) => {
    expect(percent(part, whole)).toBe(text);
  });
});

describe("the map's own percent", () => {
  // the map's page is no module: its function is taken out of the file that is served
  const source = /OM\.percent = (\(part, whole\) => \{.*?\n  \});/s.exec(mapLayer)?.[1] ?? "";
  const onMap = new Function(`return ${source}`)() as (part: number, whole: number) => string;
  it.each(shares as [number, number, string][])("%i of %i is %s", (part, whole, text) => {
    expect(onMap(part, whole)).toBe(text);
  });
});

describe("typedNumber", () => {
  it("takes the decimal comma of half the world", () => {
    expect(typedNumber("4,5")).toBe(4.5);
    expect(typedNumber(" 4.5 ")).toBe(4.5);
    expect(typedNumber("-0,25")).toBe(-0.25);
  });

  it.each(["", "4 5", "4.5.1", "1e3", "NaN", "Infinity", "0x10", "four"])("does not guess at %j", (text) => {
    expect(typedNumber(text)).toBeNull();
  });
});

describe("days and moments", () => {
  it("a day is the same day in every time zone of the reader", () => {
    expect(dayText("2027-01-01")).toBe("1 Jan 2027");
  });

  it("a moment is told in the farm's zone", () => {
    expect(momentText("2026-12-31T23:30:00Z", "Europe/Madrid")).toMatch(/Fri,? 1 Jan,? (at )?00:30/);
    expect(hourText("2026-06-30T12:00:00Z", "America/Los_Angeles")).toBe("05:00");
  });

  it("what is no day is shown as it came", () => {
    expect(dayText("soon")).toBe("soon");
  });
});

it("count sets thousands apart", () => {
  expect(count(64_212)).toBe("64,212");
});
