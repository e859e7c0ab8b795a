import { describe, expect, it } from "vitest";
import { blocksToKeep, dayIn, farmToKeep, stateToKeep, whoToKeep } from "../../src/core/ahead";
import type { BlockState, BlockSummary, Farm, Who } from "../../src/core/contracts";

const block = (id: string, pruned: number): BlockSummary => ({ id, pruned, trees: 10 }) as BlockSummary;
const many = (n: number): BlockSummary[] => Array.from({ length: n }, (_, at) => block(`b${at}`, 0));

describe("blocks to take along", () => {
  it("are all of a farm of 64, those asked for first", () => {
    const kept = blocksToKeep({ blocks: many(64) }, { own: ["b7"], along: ["b9", "gone"] });
    expect(kept).toHaveLength(64);
    expect(kept.slice(0, 2)).toEqual(["b9", "b7"]);
  });
  it("are the crew's own next ones too, in their order, before what others have begun", () => {
    const next = (id: string, place: number): BlockSummary => ({ ...block(id, 0), closed: null, queue: { crew_id: "ash", place } });
    const blocks = [...many(65), block("begun", 4), next("later", 2), next("next", 1)];
    expect(blocksToKeep({ blocks }, { own: ["b7"], along: [], crewId: "ash" })).toEqual(["b7", "next", "later", "begun"]);
    expect(blocksToKeep({ blocks }, { own: ["b7"], along: [], crewId: "birch" })).toEqual(["b7", "begun"]);
  });
  it("are those asked for, worked in and begun of a larger one", () => {
    const blocks = [...many(65), block("begun", 4), block("done", 10)];
    expect(blocksToKeep({ blocks }, { own: ["b7"], along: ["b9"] })).toEqual(["b9", "b7", "begun"]);
  });
});

it("the day is that of the farm's zone", () => {
  const moment = Date.parse("2026-01-12T23:30:00Z");
  expect(dayIn("Europe/London", moment)).toBe("2026-01-12");
  expect(dayIn("Europe/Berlin", moment)).toBe("2026-01-13");
  expect(dayIn("America/Los_Angeles", moment)).toBe("2026-01-12");
});

describe("what is never kept on a device", () => {
  const NAME = "Ada Quern";
  it("names of people", () => {
    const farm = { id: "f", people: [{ id: "p", name: NAME, role: "auditor", crew_id: null }], crews: [] } as unknown as Farm;
    const who = { name: NAME, login: NAME, device: { holder: { id: "p", name: NAME } }, farms: [] } as unknown as Who;
    const state = { checks: [["c", 1, 2, "faulty", "2026-01-12", NAME, `${NAME} said so`, true, "l", ["stubs"], false, true]] } as unknown as BlockState;
    expect(JSON.stringify([farmToKeep(farm), whoToKeep(who), stateToKeep(state)])).not.toContain(NAME);
    expect(stateToKeep(state).checks[0]?.slice(0, 5)).toEqual(["c", 1, 2, "faulty", "2026-01-12"]);
    expect(stateToKeep(state).checks[0]?.slice(7)).toEqual([true, "l", ["stubs"], false, true]);
  });
});
