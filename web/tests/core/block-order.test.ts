import { expect, it } from "vitest";
import { inCodeOrder, inOrderOfWork, ownAndOthers } from "../../src/core/block-order";
import { inOrderOfChecks, lotsWaiting } from "../../src/core/check-order";
import inOrder from "../../../tests/vectors/block_codes/order.json";

const block = (code: string, pruned: number, isClosed = false) => ({
  id: code,
  code,
  pruned,
  trees: 90,
  closed: isClosed ? { until: "2026-01-20T17:00:00Z", reason: "spray" } : null,
});

it("blocks worked in today come first, then begun, not begun, finished, and last the closed ones; by number each", () => {
  const blocks = [block("K10", 0), block("K9", 0), block("K8", 90), block("K7", 30, true), block("K6", 30), block("K5", 90), block("K4", 1, true)];
  const codes = inOrderOfWork(blocks, new Set(["K5", "K10", "K4"])).map(({ code }) => code);
  expect(codes).toEqual(["K5", "K10", "K6", "K9", "K8", "K4", "K7"]);
});

it("what the own crew is to go over again comes before begun blocks; what others are asked stands where it would without", () => {
  const others = { again: 9, isAskedOfOthers: true };
  const blocks = [block("K1", 90), block("K2", 0), { ...block("K3", 90), again: 4 }, { ...block("K4", 30, true), again: 4 }, block("K5", 30), { ...block("K0", 90), ...others }];
  expect(inOrderOfWork(blocks, new Set()).map(({ code }) => code)).toEqual(["K3", "K5", "K2", "K0", "K1", "K4"]);
});

it("an auditor finds the lots that wait first, and a lot whose trees are all checked on this device waits no more", () => {
  const lot = (code: string, pruned: number, drawn: number, wanted: number | null, open: number) => ({ ...block(code, pruned), drawn, must_check: wanted, lots_open: open });
  const blocks = [lot("K1", 90, 20, 20, 0), lot("K2", 0, 0, null, 0), lot("K10", 60, 32, 82, 1), lot("K3", 60, 0, 13, 0), lot("K9", 60, 5, 30, 2), lot("K4", 60, 50, 50, 1)];
  expect(inOrderOfChecks(blocks).map(({ code }) => code)).toEqual(["K9", "K10", "K1", "K3", "K4", "K2"]);
  const { lots_open: _, ...untold } = lot("K5", 60, 0, 13, 1);
  expect([...blocks, untold].map(lotsWaiting)).toEqual(["", "", "1 lot to check", "", "2 lots to check", "", ""]);
});

it("what a crew was given stands in the order of its queue, without what is done here already and with what is closed last; then what it is to go over again", () => {
  const given = (code: string, place: number | null, more: object = {}) => ({
    ...block(code, 0),
    queue: place === null ? null : { crew_id: "ash", place },
    ...more,
  });
  const blocks = [
    given("K1", 3),
    given("K2", null),
    given("K3", 1, { closed: { until: "2026-01-20T17:00:00Z", reason: "spray" } }),
    given("K4", 2),
    given("K5", 4, { pruned: 90 }),
    given("K6", 1, { queue: { crew_id: "birch", place: 1 } }),
  ];
  const { own, again, others } = ownAndOthers([...blocks, given("K7", null, { pruned: 90, again: 4 }), given("K8", null, { again: 4, isAskedOfOthers: true })], "ash");
  expect(again.map(({ code }) => code)).toEqual(["K7"]);
  expect(own.map(({ code }) => code)).toEqual(["K4", "K1", "K3"]);
  expect(others.map(({ code }) => code)).toEqual(["K2", "K5", "K6", "K8"]);
  expect(ownAndOthers([block("K1", 0)], "ash").own).toEqual([]);
});

it("codes stand in the order in which the service tells them (tests/unit/test_code_order.py)", () => {
  for (const by of [1, 7, 23]) {
    const mixed = [...inOrder.slice(by), ...inOrder.slice(0, by)].reverse();
    expect(mixed.sort(inCodeOrder)).toEqual(inOrder);
  }
});
