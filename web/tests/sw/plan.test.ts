import { expect, it } from "vitest";
import { planFor, type Asked } from "../../src/sw/plan";

const screens = new Set(["/", "/rows"]);
const files = new Set(["/app/assets/index-1.js"]);
const plan = (path: string, more: Partial<Asked> = {}) =>
  planFor({ method: "GET", mode: "cors", path, sameOrigin: true, ...more }, screens, files);

it("answers for the front end's pages and its own files, and for nothing else", () => {
  expect(plan("/rows", { mode: "navigate" })).toBe("page");
  expect(plan("/R/H6/12", { mode: "navigate" })).toBe("page");
  expect(plan("/app/assets/index-1.js")).toBe("file");
  expect(plan("/map", { mode: "navigate" })).toBe("other");
  expect(plan("/app/assets/index-2.js")).toBe("none");
  expect(plan("/readyz")).toBe("none");
});

it("never stands between the page and /api, whatever is asked", () => {
  for (const method of ["GET", "POST", "DELETE"]) {
    for (const mode of ["cors", "navigate"]) expect(plan("/api/farms/1/marks", { method, mode })).toBe("none");
  }
  expect(plan("/rows", { method: "POST", mode: "navigate" })).toBe("none");
  expect(plan("/rows", { mode: "navigate", sameOrigin: false })).toBe("none");
});
