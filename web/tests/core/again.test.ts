/// <reference types="vite/client" />
import { describe, expect, it } from "vitest";
import { againParts, otherCrews, runsWithAgain, treesAgain, treesOfParts, waitingReturns, type WaitingReturn } from "../../src/core/again";
import type { BlockLog, BlockReturn, LogMark, ShapeRow } from "../../src/core/contracts";
import type { PendingRecord } from "../../src/core/merge";

type Mark = [id: string, row: number, first: number, last: number, crew: string];
interface Case {
  name: string;
  rows: Record<string, { p: number; blanks: number[] }>;
  crews: string[];
  marks: Mark[];
  returns: { id: string; stretches: BlockReturn["stretches"]; answers: Mark[] }[];
  withdrawn: string[];
  expect: { open: Record<string, number[][]>; runs: [number, number, number, number, string | null][] };
}

// the same files that `tests/unit/test_return_vectors.py` reads
const files = import.meta.glob<Case[]>("../../../tests/vectors/returns/*.json", { eager: true, import: "default" });
const cases = Object.values(files).flat().map((one): [string, Case] => [one.name, one]);
const rowsOf = (one: Case): ShapeRow[] => Object.entries(one.rows).map(([n, row]) => ({ n: Number(n), e: 1, parts: [], ...row }));

/** The log that the service answers when it knows these marks. */
function logOf(one: Case, known: (mark: Mark) => boolean): BlockLog {
  const told = (marks: Mark[]): LogMark[] =>
    marks.filter(known).map(([id, row, first, last, crew]) => [id, row, first, last, one.crews.indexOf(crew), "2026-01-20"]);
  const returns = one.returns.map(({ id, stretches, answers }, at): BlockReturn => ({
    id, number: at + 1, crew_id: "A", due_on: "2026-01-27", points: [], note: "", stretches, answers: told(answers),
  }));
  const crews = one.crews.map((id) => ({ id, name: id }));
  return { id: "block", season_id: "s", cursor: 1, epoch: "e", crews, marks: told(one.marks), settlements: [], returns };
}

/** These marks, and every withdrawal, as this device's own. */
function pendingOf(one: Case, own: (mark: Mark) => boolean): PendingRecord[] {
  const marks = [
    ...one.marks.map((mark) => ({ mark, of: {} })),
    ...one.returns.flatMap(({ id, answers }) => answers.map((mark) => ({ mark, of: { return_id: id } }))),
  ].filter(({ mark }) => own(mark));
  return [
    ...marks.map(({ mark: [id, row, first, last, crew_id], of }): PendingRecord => ({
      kind: "marks", record: { id, block_id: "block", row, first, last, crew_id, ...of }, forCrewId: null,
    })),
    ...one.withdrawn.map((id): PendingRecord => ({ kind: "withdrawals", record: { id: `w-${id}`, mark_id: id }, forCrewId: null })),
  ];
}

function told(one: Case, log: BlockLog, pending: readonly PendingRecord[]): unknown {
  const rows = rowsOf(one);
  const waiting = new Map(waitingReturns(log, rows, pending).map(({ said, open }) => [said.id, open]));
  return {
    open: Object.fromEntries(one.returns.map(({ id }) => [id, waiting.get(id) ?? []])),
    runs: runsWithAgain(log, rows, pending).map(([row, first, last, kind, crew]) => [row, first, last, kind, one.crews[crew] ?? null]),
  };
}

describe("the vectors of returns", () => {
  it("are there", () => expect(cases.length).toBeGreaterThan(100));

  it.each(cases)("%s: from the service's log", (_, one) => {
    expect(told(one, logOf(one, ([id]) => !one.withdrawn.includes(id)), [])).toEqual(one.expect);
  });

  it.each(cases)("%s: all of it still on the tablet, in any order and twice", (_, one) => {
    const pending = pendingOf(one, () => true);
    expect(told(one, logOf(one, () => false), pending)).toEqual(one.expect);
    expect(told(one, logOf(one, () => false), [...pending, ...pending].reverse())).toEqual(one.expect);
  });

  it.each(cases)("%s: half of it sent, and all of that taken back by what waits", (_, one) => {
    const isSent = ([id]: Mark): boolean => id.charCodeAt(id.length - 1) % 2 === 0;
    expect(told(one, logOf(one, isSent), pendingOf(one, (mark) => !isSent(mark)))).toEqual(one.expect);
  });
});

describe("returns on a tablet", () => {
  const one = cases.find(([name]) => name === "nothing answers yet")?.[1];
  const answer = (forCrewId: string): PendingRecord => ({
    kind: "marks", record: { id: "own", block_id: "block", row: 1, first: 3, last: 5, crew_id: "A", return_id: "r" }, forCrewId,
  });

  it("counts trees once, whatever returns ask for them", () => {
    if (one === undefined) throw new Error("the case is gone");
    const log = logOf({ ...one, returns: [...one.returns, { id: "s", stretches: [[1, 5, 8]], answers: [] }] }, () => true);
    expect(treesAgain(waitingReturns(log, rowsOf(one)), rowsOf(one))).toBe(6);
  });

  it("an own mark answers only where its sender may speak for the crew, and never prunes anything", () => {
    if (one === undefined) throw new Error("the case is gone");
    const open = (forCrewId: string) => waitingReturns(logOf(one, () => true), rowsOf(one), [answer(forCrewId)]).flatMap((found) => found.open);
    expect([open("A"), open("B")]).toEqual([[[1, 6, 6]], [[1, 3, 6]]]);
    expect(runsWithAgain(logOf(one, () => false), rowsOf(one), [answer("A")])).toEqual([]);
  });

  it("a log of an older service, which tells of none, has none", () => {
    if (one === undefined) throw new Error("the case is gone");
    const { returns: _, ...older } = logOf(one, () => true);
    expect(waitingReturns(older, rowsOf(one))).toEqual([]);
  });
});

describe("a crew that stops in mid-row", () => {
  const row: ShapeRow = { n: 4, p: 20, e: 1, parts: [], blanks: [6, 7] };
  const waiting = (id: string, crew_id: string, ...open: WaitingReturn["open"]): WaitingReturn => ({
    said: { id, number: 1, crew_id, due_on: "2026-01-27", points: [], note: "", stretches: open.map(([row, first, last]) => [row, first, last]), answers: [] }, open,
  });
  const two = [waiting("r", "A", [3, 1, 20], [4, 2, 9], [4, 15, 18]), waiting("s", "B", [4, 8, 12]), waiting("t", "A", [5, 1, 3])];

  it("answers each return as far as it came, and nothing of what lies beyond", () => {
    expect(againParts(two, row, { first: 1, last: 10 })).toEqual([
      { row: 4, stretches: [{ first: 2, last: 9 }], returnId: "r", crewId: "A" },
      { row: 4, stretches: [{ first: 8, last: 10 }], returnId: "s", crewId: "B" },
    ]);
    // from the far end
    expect(againParts(two, row, { first: 16, last: 20 })).toEqual([{ row: 4, stretches: [{ first: 16, last: 18 }], returnId: "r", crewId: "A" }]);
    expect(againParts(two, row, { first: 1, last: 1 })).toEqual([]);
    // two blanks are no tree that could be gone over
    expect(againParts([waiting("r", "A", [4, 6, 9])], row, { first: 1, last: 7 })).toEqual([]);
  });

  it("has with the rest of the row answered all of it, wherever it stopped", () => {
    const whole = againParts(two, row);
    for (let stop = 1; stop < row.p; stop += 1) {
      const parts = [...againParts(two, row, { first: 1, last: stop }), ...againParts(two, row, { first: stop + 1, last: row.p })];
      expect(treesOfParts(parts, row)).toBe(treesOfParts(whole, row));
      for (const { returnId, stretches } of parts) {
        const asked = whole.find((part) => part.returnId === returnId)?.stretches ?? [];
        for (const { first, last } of stretches) expect(asked.some((one) => one.first <= first && last <= one.last)).toBe(true);
      }
    }
  });

  it("counts a tree that two returns ask for once", () => expect(treesOfParts(againParts(two, row), row)).toBe(6 + 3 + 4));
});

it("names the crews that are asked, each once, and none where one's own is among them", () => {
  const asked = (crew_id: string): WaitingReturn => ({ said: { crew_id } as BlockReturn, open: [[1, 1, 2]] });
  const waiting = ["A", "B", "A"].map(asked);
  expect([otherCrews(waiting, "C"), otherCrews(waiting, null), otherCrews(waiting, "B")]).toEqual([["A", "B"], ["A", "B"], []]);
});
