import { expect, it } from "vitest";
import { failedPoints, judgedPoints, treeVerdict, type ScoredPoint } from "../../src/core/check-scoring";
import type { Finding } from "../../src/core/contracts";
// the same file that `tests/unit/test_tree_verdicts.py` holds against the library
import vectors from "../../../tests/vectors/checks/tree_verdicts.json";

const points = vectors.points as ScoredPoint[];

it.each(vectors.cases)("a tree is judged as the library judges it: $name", (one) => {
  const findings = one.findings as Finding[];
  expect({
    judged: judgedPoints(points, findings),
    failed: failedPoints(points, findings),
    verdict: treeVerdict(points, findings),
  }).toEqual({ judged: one.judged, failed: one.failed, verdict: one.verdict });
});
