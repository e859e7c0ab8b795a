import { expect, it } from "vitest";
import { draftOf, draftText } from "../../src/core/plan-draft";
import { moved, type PlanBlock, type PlanBoard } from "../../src/core/plan-queues";

const block: PlanBlock = { left: 10, habit: "spur", is_biennial: false, must_finish_on: "2026-03-20", own_must_finish_on: null, platform_fits: null, closed: [], worked: null };
const board: PlanBoard = {
  season_id: "s", cursor: 1, revision: 3, own_first: true, must_finish_on: "2026-03-20", days: ["2026-01-22"], crews: [],
  queues: [{ crew_id: "ash", blocks: ["a", "b"] }, { crew_id: "birch", blocks: [] }], open: ["c"], blocks: { a: block, b: block, c: block },
};
const left = moved(board, "c", { crew: "birch", at: 0 });

it("what was changed and not saved is there at the next visit", () => {
  expect(draftOf(draftText(board, left), board)).toEqual({ plan: { queues: left.queues, open: [], own_first: true, revision: 3 }, isOvertaken: false });
  expect(draftOf(draftText(board, { ...board, own_first: false }), board)?.plan.own_first).toBe(false);
});

it("it is said where others were saved meanwhile, and what is done since is left out; a block that it never knew stays its crew's", () => {
  const { b: _done, ...rest } = board.blocks;
  const fresh = { ...board, revision: 4, queues: [{ crew_id: "ash", blocks: ["a", "e"] }, { crew_id: "birch", blocks: [] }], blocks: { ...rest, e: block } };
  const found = draftOf(draftText(board, left), fresh);
  expect(found).toEqual({ plan: { queues: [{ crew_id: "ash", blocks: ["a", "e"] }, { crew_id: "birch", blocks: ["c"] }], open: [], own_first: true, revision: 4 }, isOvertaken: true });
});

it("nothing is what differs in nothing, what is of another season, and what cannot be read", () => {
  expect(draftOf(draftText(board, board), board)).toBeNull();
  expect(draftOf(draftText({ ...board, season_id: "t" }, left), board)).toBeNull();
  for (const text of [null, "", "{", "null", '{"season_id":"s"}', '{"season_id":"s","queues":3}']) expect(draftOf(text, board)).toBeNull();
});
