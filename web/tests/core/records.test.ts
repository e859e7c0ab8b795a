import { expect, it } from "vitest";
import type { Finding } from "../../src/core/contracts";
import { newCheck, newMark, newUnjudged, newWithdrawal } from "../../src/core/records";
import { newTreeCount } from "../../src/core/tree-counts";

const stamp = { id: "0198c000-0000-7000-8000-000000000001", at: "2026-11-25T09:00:00.000Z" };

it("a mark says crew, positions, row and day, and names nobody", () => {
  const about = { seasonId: "s", blockId: "b", crewId: "c", day: "2026-11-24", method: "ladder" as const, deviceId: "d", recorderId: null };
  expect(newMark(about, 12, { first: 3, last: 41 }, stamp)).toEqual({
    id: stamp.id,
    season_id: "s",
    block_id: "b",
    row: 12,
    first: 3,
    last: 41,
    crew_id: "c",
    day: "2026-11-24",
    method: "ladder",
    device_id: "d",
    device_at: stamp.at,
  });
});

it("marks, checks and tree counts say the ground they were made on, where it is known", () => {
  const about = { seasonId: "s", blockId: "b", day: "2026-11-25", deviceId: "d", recorderId: null, ground: "g" };
  const tree = { row: 3, position: 11, drawn: false, note: "" };
  const mark = { ...about, crewId: "c", method: "ladder" as const };
  const check = { ...about, brief: null, auditorId: null };
  const made = [
    newMark(mark, 12, { first: 3, last: 41 }, stamp),
    newCheck(check, { ...tree, verdict: "meets" }, stamp),
    newUnjudged(check, { ...tree, reason: "gone", lotId: "l" }, stamp),
    newTreeCount({ ...about, what: "limbs" }, { row: 3, position: 11, number: 9, seed: null }, stamp),
  ];
  expect(made.map(({ ground }) => ground)).toEqual(["g", "g", "g", "g"]);
  expect(newMark({ ...mark, ground: undefined }, 12, { first: 3, last: 41 }, stamp)).not.toHaveProperty("ground");
});

it("a withdrawal names its mark", () => {
  expect(newWithdrawal("m", { deviceId: "d", recorderId: "p" }, stamp)).toEqual({
    id: stamp.id,
    mark_id: "m",
    recorder_id: "p",
    device_id: "d",
    device_at: stamp.at,
  });
});

it("a check leaves out an empty note and an auditor nobody named", () => {
  const about = { seasonId: "s", blockId: "b", brief: null, auditorId: null, day: "2026-11-25", deviceId: "d" };
  const tree = { row: 3, position: 11, verdict: "faulty" as const, drawn: false, note: "  " };
  const check = newCheck(about, tree, stamp);
  expect(check).not.toHaveProperty("note");
  expect(check).not.toHaveProperty("auditor_id");
  expect(newCheck({ ...about, auditorId: "a" }, { ...tree, note: " stub left " }, stamp)).toMatchObject({
    auditor_id: "a",
    note: "stub left",
  });
});

it("a check of a lot says its lot, its findings and that it is a second look, and one outside lots says nothing of them", () => {
  const about = { seasonId: "s", blockId: "b", brief: null, auditorId: null, day: "2026-11-25", deviceId: "d" };
  const tree = { row: 3, position: 11, verdict: "meets" as const, drawn: true, note: "" };
  const findings: Finding[] = [
    ["stubs", true],
    ["limb-count", 22],
  ];
  expect(newCheck(about, { ...tree, lotId: "l", findings, isSecond: true }, stamp)).toMatchObject({ lot_id: "l", findings, second: true });
  const plain = newCheck(about, { ...tree, isSecond: false }, stamp);
  for (const key of ["lot_id", "findings", "second"]) expect(plain).not.toHaveProperty(key);
});

it("a tree that could not be judged has a reason, its lot and no verdict", () => {
  const about = { seasonId: "s", blockId: "b", brief: { brief_id: "p", version: 2 }, auditorId: "a", day: "2026-11-25", deviceId: "d" };
  expect(newUnjudged(about, { row: 3, position: 11, reason: "unreachable", drawn: true, note: " wet ", lotId: "l" }, stamp)).toEqual({
    id: stamp.id, season_id: "s", block_id: "b", row: 3, position: 11, auditor_id: "a", day: "2026-11-25", drawn: true, note: "wet",
    brief_id: "p", brief_version: 2, not_judged: "unreachable", lot_id: "l", device_id: "d", device_at: stamp.at,
  });
});

it("a check names the version of the brief that the tree was judged by, and none where there is none", () => {
  const about = { seasonId: "s", blockId: "b", brief: null, auditorId: null, day: "2026-11-25", deviceId: "d" };
  const tree = { row: 3, position: 11, verdict: "meets" as const, drawn: true, note: "" };
  expect(newCheck({ ...about, brief: { brief_id: "t", version: 2 } }, tree, stamp)).toMatchObject({ brief_id: "t", brief_version: 2 });
  expect(Object.keys(newCheck(about, tree, stamp)).filter((key) => key.startsWith("brief"))).toEqual([]);
});
