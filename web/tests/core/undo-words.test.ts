import { expect, it } from "vitest";
import type { Action, StandingMark } from "../../src/core/block-marks";
import { undoWords } from "../../src/core/undo-words";

const mark = (row: number, first: number, last: number): StandingMark => ({ id: `${row}-${first}`, row, first, last, crewId: "hollow", day: "2026-01-20" });
const action = (at: string, block: string, ...marks: StandingMark[]): Action => ({ at, block, marks });
const words = (...actions: Action[]): string[] => undoWords(actions, (id) => (id === "k1" ? null : "K2")).map((one) => one.words);

it("a row is named by its number, several by how many, another block by its code", () => {
  expect(words(action("3", "k1", mark(4, 1, 26)), action("2", "k1", mark(1, 1, 26), mark(2, 1, 26)), action("1", "k2", mark(4, 1, 9)))).toEqual([
    "Undo row 4",
    "Undo 2 rows",
    "Undo row 4 of K2",
  ]);
});

it("two touches of one row are told apart by their positions", () => {
  expect(words(action("3", "k1", mark(4, 11, 26)), action("2", "k1", mark(4, 1, 10)), action("1", "k1", mark(3, 1, 26)))).toEqual([
    "Undo row 4, positions 11 to 26",
    "Undo row 4, positions 1 to 10",
    "Undo row 3",
  ]);
});

it("the rows of several are told to whoever hears the button", () => {
  expect(undoWords([action("1", "k1", mark(1, 1, 26), mark(2, 1, 26))], () => null)[0]?.label).toBe("Undo 2 rows: rows 1, 2");
});
