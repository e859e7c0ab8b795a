import { expect, it } from "vitest";
import { moved, type PlanBlock, type PlanBoard, type Queues } from "../../src/core/plan-queues";
import { elsewhere, shift, shiftCrew, type PlanDesk } from "../../src/screens/plan/desk";

const block = (worked: string | null): PlanBlock => ({
  left: 10, habit: "spur", is_biennial: false, must_finish_on: "2026-03-20", own_must_finish_on: null, platform_fits: null, closed: [],
  worked: worked === null ? null : { crew_id: worked, day: "2026-01-20" },
});
/** A desk whose plan can be read after it was moved on. */
function deskOf(plan: Omit<Queues, "own_first" | "revision">, blocks: PlanBoard["blocks"] = {}): PlanDesk & { plan: Queues } {
  const desk = {
    board: { blocks } as PlanBoard,
    plan: { ...plan, own_first: true, revision: 1 },
    told: null, lasting: new Map(),
    names: new Map(), crews: new Map([["ash", "Ash"], ["birch", "Birch"]]), picked: null,
    pick: () => undefined,
    move(id: string, to: { crew: string | null; at: number }) {
      desk.plan = moved(desk.plan, id, to);
    },
  };
  return desk;
}
const two = () => deskOf({ queues: [{ crew_id: "ash", blocks: ["a", "b"] }, { crew_id: "birch", blocks: [] }], open: ["c"] }, { a: block("birch"), b: block("ash"), c: block("ash") });

it("work in a block that another crew was given, or nobody, is said; a crew's own is not", () => {
  expect(elsewhere(two(), "a")).toBe("Birch prunes here, though it is given to Ash");
  expect(elsewhere(two(), "b")).toBeNull();
  expect(elsewhere(two(), "c")).toBe("Ash prunes here, though it is given to nobody");
  expect(elsewhere(deskOf({ queues: [], open: ["d"] }, { d: block(null) }), "d")).toBeNull();
});

it("arrows move a block by one place, and not before the first", () => {
  const desk = two();
  shift(desk, "a", 1);
  expect(desk.plan.queues[0]?.blocks).toEqual(["b", "a"]);
  shift(desk, "b", -1);
  expect(desk.plan.queues[0]?.blocks).toEqual(["b", "a"]);
});

it("arrows move a block to the crew above or below, with nobody below the last, and not beyond", () => {
  const desk = two();
  shiftCrew(desk, "b", 1);
  shiftCrew(desk, "b", 1);
  expect(desk.plan.open).toEqual(["b", "c"]);
  shiftCrew(desk, "b", 1);
  expect(desk.plan.open).toEqual(["b", "c"]);
  shiftCrew(desk, "a", -1);
  expect(desk.plan.queues[0]?.blocks).toEqual(["a"]);
});
