import { describe, expect, it, vi } from "vitest";
import type { BlockGround, GroundBody, GroundDifference } from "../../src/core/ground-contracts";
import { groundDesk, type Wish } from "../../src/screens/ground/ground-state";

const BASE: BlockGround = {
  id: "b",
  code: "B",
  name: "B",
  variety_id: null,
  version: "v1",
  area_ha: 1,
  outline: null,
  planting: null,
  rows: [
    { number: 1, parts: [], part_positions: [5], length_m: 10, end_offset_m: 1, positions: 5, trees: 5, counted_positions: null, blanks: [], pollinizers: [], marks: 0, others: 0 },
  ],
};
const NOTHING: GroundDifference = { blocks: [], rows: [], problems: [], leaving: [], can_be_taken: true, touches_work: false };

function desk(preview: (body: GroundBody) => Promise<GroundDifference>) {
  let made = 0;
  const failed = vi.fn();
  const opened = groundDesk(BASE, { preview, failed, changed: () => undefined, freshId: () => `id-${(made += 1)}` });
  return { opened, failed };
}
const count = (...blanks: number[]): Wish => ({ kind: "count-row", row: 1, counted_positions: null, blanks, pollinizers: [] });
const drop: Wish = { kind: "drop-rows", rows: [1] };

describe("edits that are not taken yet", () => {
  it("are tried at once with the shape that was looked at, each list under an id of its own", async () => {
    const asked: GroundBody[] = [];
    const { opened } = desk(async (body) => {
      asked.push(body);
      return NOTHING;
    });
    opened.edit(drop);
    await vi.waitFor(() => expect(opened.isTrying).toBe(false));
    opened.edit({ kind: "turn-rows", rows: [1] });
    await vi.waitFor(() => expect(opened.isTrying).toBe(false));
    expect(asked.map(({ edits, seen }) => [edits?.length, seen])).toEqual([[1, { b: "v1" }], [2, { b: "v1" }]]);
    expect(asked[0]?.id).not.toBe(asked[1]?.id);
    expect(opened.body()).toEqual(asked[1]);
  });

  it("leave the list as it was where the service cannot make sense of the last one", async () => {
    const { opened, failed } = desk(async ({ edits }) => {
      if (edits?.length === 2) throw new Error("no such row");
      return NOTHING;
    });
    opened.edit(drop);
    await vi.waitFor(() => expect(opened.found).not.toBeNull());
    opened.edit(drop);
    await vi.waitFor(() => expect(failed).toHaveBeenCalledOnce());
    expect(opened.steps).toBe(1);
  });

  it("are there again when the block is opened anew, unless it was changed meanwhile", async () => {
    const { opened } = desk(async () => NOTHING);
    opened.edit(drop);
    opened.keep();
    const again = desk(async () => NOTHING).opened;
    await vi.waitFor(() => expect(again.steps).toBe(1));
    expect(again.body().edits).toEqual([{ ...drop, block: "b" }]);
    again.keep();
    const lost = vi.fn();
    const other = groundDesk({ ...BASE, version: "v2" }, { preview: async () => NOTHING, failed: vi.fn(), changed: () => undefined, freshId: () => "id", lost });
    await vi.waitFor(() => expect(lost).toHaveBeenCalledOnce());
    expect(other.steps).toBe(0);
    expect(desk(async () => NOTHING).opened.steps).toBe(0);
  });

  it("are undone as they were made: rows that were counted together in one step", async () => {
    const { opened } = desk(async () => NOTHING);
    opened.editAll([count(), { kind: "count-row", row: 2, counted_positions: 4, blanks: [], pollinizers: [] }]);
    expect([opened.steps, opened.body().edits?.length]).toEqual([1, 2]);
    opened.undo();
    expect([opened.steps, opened.body().edits?.length]).toEqual([0, 0]);
  });

  it("show a counted place before the service has answered; touches on one row are one edit, and one undo takes them back", async () => {
    const { opened } = desk(async () => NOTHING);
    opened.edit(count(2));
    opened.edit(count(2, 3));
    expect(opened.steps).toBe(1);
    expect(opened.row(1)).toMatchObject({ blanks: [2, 3], trees: 3 });
    opened.undo();
    expect(opened.steps).toBe(0);
    await vi.waitFor(() => expect(opened.row(1)).toMatchObject({ blanks: [], trees: 5 }));
  });

  it("take no notice of an answer to an older list", async () => {
    const answers: ((found: GroundDifference) => void)[] = [];
    const { opened } = desk(() => new Promise((answer) => answers.push(answer)));
    opened.edit(drop);
    opened.edit(drop);
    answers[1]?.({ ...NOTHING, touches_work: true });
    await vi.waitFor(() => expect(opened.found?.touches_work).toBe(true));
    answers[0]?.(NOTHING);
    await Promise.resolve();
    expect(opened.found?.touches_work).toBe(true);
  });
});
