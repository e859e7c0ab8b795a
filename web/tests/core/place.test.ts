import { describe, expect, it } from "vitest";
import { addressOf, placeOf, SCREENS } from "../../src/core/place";

it("every screen's address leads back to it, with and without a block", () => {
  for (const screen of SCREENS) {
    for (const block of [null, "0198-a b"]) {
      const [path = "", query = ""] = addressOf({ screen, block }).split("?");
      expect(placeOf(path, query === "" ? "" : `?${query}`)).toEqual({ screen, block });
    }
  }
});

it("keeps the row in the address, so that a reload shows it again", () => {
  const place = { screen: "rows", block: "b", row: 44 } as const;
  const [path = "", query = ""] = addressOf(place).split("?");
  expect(placeOf(path, `?${query}`)).toEqual(place);
});

it("an open brief, its versions, and what a new one is for are in the address, on the screen of briefs alone", () => {
  const more = [{ brief: "0198 a&b" }, { brief: "b", compare: true }, { variety: "v/1" }] as const;
  for (const one of more) {
    const place = { screen: "briefs", block: null, ...one } as const;
    const [path = "", query = ""] = addressOf(place).split("?");
    expect(placeOf(path, `?${query}`)).toEqual(place);
  }
  expect(placeOf("/rows", "?brief=b")).toEqual({ screen: "rows", block: null });
});

it("keeps the day, crew and variety of the overview in the address, so that a link tells them", () => {
  const place = { screen: "overview", block: null, crew: "c 1", day: "2026-11-20", variety: "v" } as const;
  const [path = "", query = ""] = addressOf(place).split("?");
  expect(path).toBe("/");
  expect(placeOf(path, `?${query}`)).toEqual(place);
  expect(placeOf("/rows", `?${query}`)).toEqual({ screen: "rows", block: null });
});

it("keeps the open lot, the part of the page and what a recheck is for in the address, where they belong", () => {
  const places = [
    { screen: "checks", block: "b", lot: "l 1" },
    { screen: "checks", block: "b", lot: "l 1", second: true },
    { screen: "quality", block: null, lot: "l" },
    { screen: "quality", block: "b", part: "new-lot", crew: "c" },
    { screen: "quality", block: "b", part: "new-lot", recheck: "r" },
    { screen: "quality", block: null, part: "weak" },
    { screen: "people", block: null, part: "keys" },
    { screen: "forecast", block: null, crew: "c" },
  ] as const;
  for (const place of places) {
    const [path = "", query = ""] = addressOf(place).split("?");
    expect(placeOf(path, `?${query}`)).toEqual(place);
  }
  expect(placeOf("/rows", "?lot=l&part=weak")).toEqual({ screen: "rows", block: null });
  expect(placeOf("/quality", "?part=nothing")).toEqual({ screen: "quality", block: null });
  expect(placeOf("/people", "?part=nothing")).toEqual({ screen: "people", block: null });
});

it("an unknown address is the overview", () => {
  expect(placeOf("/nowhere", "").screen).toBe("overview");
});

it("takes the row of a link from the map, and nothing that is no number", () => {
  expect(placeOf("/rows", "?block=b&row=12")).toEqual({ screen: "rows", block: "b", row: 12 });
  expect(placeOf("/rows", "?block=b&row=x")).toEqual({ screen: "rows", block: "b" });
});

describe("the address of a row-end label", () => {
  it("is the row's screen, also where no service leads it on", () => {
    expect(placeOf("/R/H6/3", "")).toEqual({ screen: "rows", block: "H6", row: 3 });
    expect(placeOf("/r/LOW%20RIDGE/12", "")).toEqual({ screen: "rows", block: "LOW RIDGE", row: 12 });
  });

  it("names no row where the label has none", () => {
    expect(placeOf("/R/H6", "")).toEqual({ screen: "rows", block: "H6" });
  });

  it("never is another screen when it cannot be read", () => {
    expect(placeOf("/R/H6/x", "")).toMatchObject({ screen: "rows", block: "H6/x" });
  });
});
