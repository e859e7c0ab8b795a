/** The head start of the first screen: everything is asked at once, handed out once, and never when it is old or nobody's. */

import { expect, it } from "vitest";
import { headStartOf } from "../../src/data/head-start";
import { requester } from "../../src/data/request";

const FARMS = [
  { id: "a", today: "2026-11-27", role: "manager" },
  { id: "b", today: "2026-11-28", role: "adviser" },
  { id: "c", today: "2026-11-27", role: "foreman" },
];

function kit(who: unknown = { farms: FARMS }, status = 200) {
  const asked: string[] = [];
  let clock = 0;
  const fetcher = ((path: string) => {
    asked.push(path);
    const body = path === "/api/who" ? who : { path };
    return Promise.resolve(new Response(JSON.stringify(body), { status, headers: { "Content-Type": "application/json" } }));
  }) as typeof fetch;
  return { asked, wait: (ms: number) => (clock += ms), start: headStartOf({ fetch: fetcher, now: () => clock }) };
}
const settled = (): Promise<void> => new Promise((done) => setTimeout(done, 0));

it("asks for the farm shown last and its overview of its own day, before anybody wants them", async () => {
  const { asked, start } = kit();
  start.begin("/", "", "b");
  await settled();
  expect(asked).toEqual(["/api/who", "/api/farms/b", "/api/farms/b/overview?day=2026-11-28"]);
});

it.each([
  ["another screen needs no overview", "/rows", "", "a", ["/api/who", "/api/farms/a"]],
  ["nor does a day that the address names", "/", "?day=2026-11-02", "a", ["/api/who", "/api/farms/a"]],
  ["a crew's overview is the farm's", "/", "?crew=x", "a", ["/api/who", "/api/farms/a", "/api/farms/a/overview?day=2026-11-27"]],
  ["a farm that is not one's any more is not asked for", "/rows", "", "gone", ["/api/who", "/api/farms/a"]],
  ["a foreman is shown rows", "/", "", "c", ["/api/who", "/api/farms/c"]],
])("%s", async (_, path, query, farm, wanted) => {
  const { asked, start } = kit();
  start.begin(path, query, farm);
  await settled();
  expect(asked).toEqual(wanted);
});

it("whoever is nobody is asked for nothing more, and neither is a service in trouble", async () => {
  for (const [who, status] of [[{ farms: [] }, 200], [{ farms: FARMS }, 503]] as const) {
    const { asked, start } = kit(who, status);
    start.begin("/", "", "a");
    await settled();
    expect(asked).toEqual(["/api/who"]);
  }
});

it("hands an answer out once, whole, to who asks for it as all requests are made", async () => {
  const { asked, start } = kit();
  const request = requester(() => undefined, start.fetch);
  start.begin("/", "", "a");
  await settled();
  expect(await request("/who")).toEqual({ farms: FARMS });
  expect(await request("/farms/a")).toEqual({ path: "/api/farms/a" });
  expect(asked).toHaveLength(3);
  expect(await request("/farms/a")).toEqual({ path: "/api/farms/a" });
  expect(asked).toHaveLength(4);
});

it("a change is never answered by what was asked before, nor is a question some seconds later", async () => {
  const { asked, wait, start } = kit();
  const request = requester(() => undefined, start.fetch);
  start.begin("/rows", "", "a");
  await settled();
  await request("/farms/a", { method: "POST", json: {} });
  expect(asked).toEqual(["/api/who", "/api/farms/a", "/api/farms/a"]);
  wait(5_001);
  await request("/farms/a");
  expect(asked).toHaveLength(4);
});

it("what was asked before a change is no answer after it", async () => {
  const { asked, start } = kit();
  const request = requester(() => undefined, start.fetch);
  start.begin("/briefs", "", "a");
  await settled();
  await request("/farms/a/varieties/v", { method: "PATCH", json: {} });
  await request("/farms/a");
  expect(asked).toEqual(["/api/who", "/api/farms/a", "/api/farms/a/varieties/v", "/api/farms/a"]);
});

it("what the page asked first is not asked again, nor anything once it changed something", async () => {
  for (const method of ["GET", "PATCH"] as const) {
    const { asked, start } = kit();
    const request = requester(() => undefined, start.fetch);
    start.begin("/rows", "", "a");
    await request("/farms/a", method === "GET" ? {} : { method, json: {} });
    await settled();
    expect(asked).toEqual(["/api/who", "/api/farms/a"]);
  }
});

it("a service that does not answer is given up when whoever asks gives up", async () => {
  const start = headStartOf({ fetch: (() => new Promise(() => undefined)) as typeof fetch, now: () => 0 });
  const told: boolean[] = [];
  start.begin("/", "", "a");
  const asking = requester((answered) => told.push(answered), start.fetch)("/who", { timeLimitMs: 10 });
  await expect(asking).rejects.toThrow("did not answer");
  expect(told).toEqual([false]);
});
