import { expect, it } from "vitest";
import { WIRE_SCHEMA } from "../../src/core/outbox";
import { apiOf } from "../../src/data/api";
import type { Request, RequestOptions } from "../../src/data/request";

it("writes ids into addresses so that they cannot leave their place", async () => {
  const asked: [string, RequestOptions | undefined][] = [];
  const request: Request = async (path, options) => {
    asked.push([path, options]);
    return undefined as never;
  };
  const api = apiOf(request);
  await api.shape("a/../b?x", "v&1");
  await api.handIn("f", { kind: "marks", values: [] }, "2026-11-25T09:00:00.000Z");
  expect(asked[0]?.[0]).toBe("/blocks/a%2F..%2Fb%3Fx/shape?v=v%261");
  expect(asked[1]).toEqual([
    "/farms/f/marks",
    { method: "POST", json: { sent_at: "2026-11-25T09:00:00.000Z", schema: WIRE_SCHEMA, marks: [] }, waits: true },
  ]);
});
