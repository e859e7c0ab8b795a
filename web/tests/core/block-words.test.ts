import { describe, expect, it } from "vitest";
import { farBlocks } from "../../src/core/block-places";
import { holdsWords, ownWords, tellingColumns } from "../../src/core/block-words";
import { draftsOf } from "../../src/core/drafts";
import type { PreviewFeature } from "../../src/core/import-contracts";

const feature = (index: number, properties: Record<string, unknown>, name = ""): PreviewFeature => ({
  index, kind: "block", name, geometry: null, area_ha: 1, notes: [], problem: null, properties,
});

describe("what a file says of its blocks", () => {
  // columns as an agency's file of declared parcels has them
  const rows = [
    { year: 2023, province: "Barcelona", town: "Torrelles de Foix", id: "08288", crop: "apricot", ha: 2.6 },
    { year: 2023, province: "Lleida", town: "Albatàrrec", id: "25007", crop: "apricot", ha: 3.1 },
    { year: 2023, province: "Lleida", town: "Alcarràs", id: "25011", crop: "apricot", ha: 0.3 },
    { year: 2023, province: "Lleida", town: "Alcarràs", id: "25011", crop: "apricot", ha: 1.2 },
  ].map((said, index) => feature(index, said));

  it("is told by the columns that part the blocks best; what all share, numbers and areas come after words or not at all", () => {
    expect(tellingColumns(rows)).toEqual(["town", "province"]);
    expect(rows.map((one) => ownWords(one, ["town", "id"]))[1]).toEqual(["Albatàrrec", "id 25007"]);
  });

  it("is told by numbers where no words differ, and by nothing where nothing does", () => {
    const years = [1984, 1990].map((year, index) => feature(index, { year, crop: "apples" }));
    expect(tellingColumns(years)).toEqual(["year"]);
    expect(tellingColumns([feature(0, { crop: "apples" }), feature(1, { crop: "apples" })])).toEqual([]);
  });

  it("leaves out the column that the names come from", () => {
    expect(tellingColumns([feature(0, { field: "Kiln" }, "Kiln"), feature(1, { field: "Ley" }, "Ley")])).toEqual([]);
  });

  it("is found by all words typed, whatever their accents, capitals and order", () => {
    const texts = ["B3", "Albatàrrec", "Lleida"];
    expect(holdsWords(texts, " lleida ALBATARREC")).toBe(true);
    expect(holdsWords(texts, "lleida alcarras")).toBe(false);
    expect(holdsWords(texts, "")).toBe(true);
  });
});

describe("far blocks", () => {
  const drafts = draftsOf({
    token: "t", format: "GeoJSON", crs: null, layers: [], questions: [], summary: "",
    features: [0, 1, 2, 3].map((index) => feature(index, {}, "")),
  });
  const places = (farm: boolean) => [
    { indices: farm ? [] : [0, 1], farm, away_km: 0 },
    { indices: farm ? [0, 1, 2] : [2], farm: false, away_km: 9200 },
    { indices: [3], farm: false, away_km: 300 },
  ];

  it("are those not at the farm's place, as far as they are taken", () => {
    expect(farBlocks(places(true), drafts.slice(0, 3))).toEqual([{ codes: ["B1", "B2", "B3"], away_km: 9200 }]);
    expect(farBlocks(places(true), [])).toEqual([]);
  });

  it("of a farm without blocks are those away from the first that are taken", () => {
    expect(farBlocks(places(false), drafts.slice(0, 2))).toEqual([]);
    expect(farBlocks(places(false), drafts.slice(2, 3))).toEqual([]);
    expect(farBlocks(places(false), drafts.slice(1, 3))).toEqual([{ codes: ["B3"], away_km: 9200 }]);
    expect(farBlocks(places(false), drafts.slice(2))).toEqual([{ codes: ["B4"], away_km: null }]);
  });
});
