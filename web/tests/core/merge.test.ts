/// <reference types="vite/client" />
import { describe, expect, it } from "vitest";
import type { BlockLog, PendingRecord, RunStatus } from "../../src/core/merge";
import { blockRuns, statedRuns } from "../../src/core/merge";

interface Case {
  name: string;
  rows: Record<string, number>;
  crews: string[];
  marks: { id: string; version: string; row: number; first: number; last: number; crew: string; reason?: string; for_crew?: string | null }[];
  withdrawals: { id: string; version: string; mark: string; for_crew: string | null; reason?: string }[];
  settlements: { number: number; id: string; row: number; first: number; last: number; crew: string | null; seen: string[] }[];
  record_settlements: unknown[];
  expect: { standing: [string, string][]; runs: [number, number, number, RunStatus, string | null][] };
}

// the same files that `tests/unit/test_merge_vectors.py` reads
const files = import.meta.glob<Case[]>("../../../tests/vectors/*.json", { eager: true, import: "default" });
const cases = Object.entries(files).flatMap(([path, found]) =>
  found.map((one): [string, Case] => [`${path.split("/").at(-1)}: ${one.name}`, one]),
);

/** The log that the service would answer after these marks stood. */
function logOf(one: Case, marks: Case["marks"]): BlockLog {
  const index = (crew: string | null): number => (crew === null ? -1 : one.crews.indexOf(crew));
  return {
    id: "block",
    season_id: "season",
    cursor: 1,
    epoch: "e",
    crews: one.crews.map((id) => ({ id, name: `Crew ${id}` })),
    marks: marks.map(({ id, row, first, last, crew }) => [id, row, first, last, index(crew), "2026-01-20"]),
    settlements: one.settlements.map(({ number, id, row, first, last, crew, seen }) => [
      number, id, row, first, last, index(crew),
      standing(one).filter((mark) => seen.includes(mark.id) || seen.includes(mark.version)).map((mark) => mark.id),
    ]),
  };
}
const positions = (one: Case): Map<number, number> =>
  new Map(Object.entries(one.rows).map(([row, length]) => [Number(row), length]));
const told = (one: Case, log: BlockLog, pending: PendingRecord[] = []): unknown[] =>
  statedRuns(log, positions(one), pending).map(({ row, first, last, status, crewIndex }) => [
    row, first, last, status, crewIndex < 0 ? null : one.crews[crewIndex],
  ]);
const standing = (one: Case): Case["marks"] =>
  one.marks.filter(({ id, version }) => one.expect.standing.some(([a, b]) => a === id && b === version));
const pendingOf = (one: Case): PendingRecord[] => [
  ...one.marks.map(({ id, row, first, last, crew, for_crew = null }): PendingRecord => ({
    kind: "marks", record: { id, block_id: "block", row, first, last, crew_id: crew }, forCrewId: for_crew,
  })),
  ...one.withdrawals.map(({ id, mark, for_crew }): PendingRecord => ({
    kind: "withdrawals", record: { id, mark_id: mark }, forCrewId: for_crew,
  })),
];
/** What a tablet can know by itself: nothing was set aside by the service, nothing runs beyond its row. */
const isPlain = (one: Case): boolean =>
  one.record_settlements.length === 0 &&
  [...one.marks, ...one.withdrawals].every(({ reason }) => reason === undefined) &&
  one.marks.every(({ row, last }) => last <= (one.rows[row] ?? last));

describe("the vectors", () => {
  it("are there, and enough of them can be known to a tablet", () => {
    expect(cases.length).toBeGreaterThan(250);
    expect(cases.filter(([, one]) => isPlain(one)).length).toBeGreaterThan(90);
  });

  it.each(cases)("%s: from the service's log", (_, one) => {
    const log = logOf(one, standing(one));
    expect(told(one, log)).toEqual(one.expect.runs);
    const turned = { ...log, marks: [...log.marks, ...log.marks].reverse(), settlements: [...log.settlements].reverse() };
    expect(told(one, turned)).toEqual(one.expect.runs);
  });

  it.each(cases.filter(([, one]) => isPlain(one)))("%s: all of it still on the tablet", (_, one) => {
    const pending = pendingOf(one);
    expect(told(one, logOf(one, []), pending)).toEqual(one.expect.runs);
    expect(told(one, logOf(one, []), [...pending, ...pending].reverse())).toEqual(one.expect.runs);
  });

  it.each(cases.filter(([, one]) => isPlain(one)))("%s: half of it sent", (_, one) => {
    // the log holds the marks that stand, the tablet still holds every withdrawal and, acknowledged meanwhile, the marks
    const sent = standing(one).filter((_mark, at) => at % 2 === 0);
    expect(told(one, logOf(one, sent), pendingOf(one))).toEqual(one.expect.runs);
  });
});

describe("runs as the service answers them", () => {
  const one: Case = {
    name: "", rows: { 1: 9 }, crews: ["A", "B"], withdrawals: [], record_settlements: [], expect: { standing: [["a", ""], ["b", ""]], runs: [] },
    marks: [
      { id: "a", version: "", row: 1, first: 1, last: 6, crew: "A" },
      { id: "b", version: "", row: 1, first: 4, last: 9, crew: "B" },
    ],
    settlements: [{ number: 1, id: "s", row: 1, first: 4, last: 5, crew: null, seen: ["a", "b"] }],
  };

  it("have kind 1 where it is credited or settled for nobody, kind 2 where it is held", () => {
    expect(blockRuns(logOf(one, one.marks), positions(one))).toEqual([
      [1, 1, 3, 1, 0],
      [1, 4, 5, 1, -1],
      [1, 6, 6, 2, -1],
      [1, 7, 9, 1, 1],
    ]);
  });

  it("a mark of another block, beyond its row, or backwards counts nothing here", () => {
    const mark = (changes: object): PendingRecord =>
      ({ kind: "marks", record: { id: "x", block_id: "block", row: 1, first: 1, last: 9, crew_id: "B", ...changes }, forCrewId: null });
    const runs = (changes: object): unknown[] => blockRuns({ ...logOf(one, []), settlements: [] }, positions(one), [mark(changes)]);
    expect(runs({})).toEqual([[1, 1, 9, 1, 1]]);
    for (const wrong of [{ block_id: "other" }, { last: 10 }, { row: 2 }, { first: 0 }, { first: 5, last: 4 }, { crew_id: "Z" }]) {
      expect(runs(wrong)).toEqual([]);
    }
  });
});
