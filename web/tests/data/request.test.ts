import { describe, expect, it, vi } from "vitest";
import { isReady, NoAnswer, Problem, problemOf, requester, sentence } from "../../src/data/request";

const answering = (body: unknown, status = 200, type = "application/json") =>
  vi.fn(async () => new Response(JSON.stringify(body), { status, headers: { "Content-Type": type } }));

describe("requester", () => {
  it("asks below /api and gives the answer back", async () => {
    const fetcher = answering({ farms: [] });
    const told: boolean[] = [];
    const answer = await requester((answered) => told.push(answered), fetcher)("/farms");
    expect(answer).toEqual({ farms: [] });
    expect(fetcher).toHaveBeenCalledWith("/api/farms", expect.objectContaining({ method: "GET" }));
    expect(told).toEqual([true]);
  });

  it("an answer that may be the browser's own says nothing of the service", async () => {
    const told: boolean[] = [];
    await requester((answered) => told.push(answered), answering({}))("/x", { cacheable: true });
    expect(told).toEqual([]);
  });

  it("takes an answer without content as done, though it names a type", async () => {
    const empty = async () => new Response(null, { status: 204, headers: { "Content-Type": "application/json" } });
    const told: boolean[] = [];
    expect(await requester((answered) => told.push(answered), empty)("/sign-out", { method: "POST" })).toBeNull();
    expect(told).toEqual([true]);
  });

  it("gives a file back as it is, and a problem instead of one as a problem", async () => {
    const pdf = async () => new Response("%PDF-1.7", { headers: { "Content-Type": "application/pdf" } });
    const file = await requester(() => undefined, pdf)<Blob>("/labels.pdf", { file: true });
    expect(await file.text()).toBe("%PDF-1.7");
    const refused = answering({ detail: "400 at a time are made" }, 422, "application/problem+json");
    await expect(requester(() => undefined, refused)("/labels.pdf", { file: true })).rejects.toBeInstanceOf(Problem);
  });

  it("gives up after the time limit and says that there was no answer", async () => {
    const never: typeof fetch = (_, init) =>
      new Promise((_resolve, reject) => {
        init?.signal?.addEventListener("abort", () => reject(new DOMException("aborted", "AbortError")));
      });
    const told: boolean[] = [];
    const asked = requester((answered) => told.push(answered), never)("/farms", { timeLimitMs: 5 });
    await expect(asked).rejects.toBeInstanceOf(NoAnswer);
    expect(told).toEqual([false]);
  });

  it.each([
    ["a page that asks for a sign-in", "<html>Welcome to the guest network</html>", 200, "text/html"],
    ["a proxy's page", "<h1>Bad Gateway</h1>", 502, "text/html"],
    ["a page that says it is JSON", "<html></html>", 200, "application/json"],
    ["nothing at all", "", 200, ""],
  ])("%s is no answer of the service", async (_what, body, status, type) => {
    const told: boolean[] = [];
    const asked = requester((answered) => told.push(answered), async () => new Response(body, { status, headers: { "Content-Type": type } }))("/x");
    await expect(asked).rejects.toBeInstanceOf(NoAnswer);
    expect(told).toEqual([false]);
  });

  it("an answer cut short in its body is no answer either", async () => {
    const cut = async () => new Response('{"outcomes":[', { headers: { "Content-Type": "application/json" } });
    await expect(requester(() => undefined, cut)("/x")).rejects.toBeInstanceOf(NoAnswer);
  });

  it("turns a problem document into an error that says what, where and what to do", async () => {
    const body = { title: "No", status: 422, detail: "latitude outside -90...90", where: "feature 3", todo: "Swap the axes." };
    const told: boolean[] = [];
    const asked = requester((answered) => told.push(answered), answering(body, 422, "application/problem+json"))("/x");
    const error = await asked.catch((one: unknown) => one);
    expect(error).toBeInstanceOf(Problem);
    expect(sentence(error, "none")).toBe("feature 3: latitude outside -90...90. Swap the axes.");
    expect(told).toEqual([true]);
  });
});

describe("isReady", () => {
  it("is true only when the service says so", async () => {
    expect(await isReady(answering({ status: "ready" }))).toBe(true);
    expect(await isReady(answering({ status: "ready" }, 503))).toBe(false);
    expect(await isReady(answering({ status: "ok" }))).toBe(false);
    expect(await isReady(answering("ready", 200, "text/html"))).toBe(false);
    expect(await isReady(() => Promise.reject(new TypeError("no connection")))).toBe(false);
  });
});

describe("problemOf", () => {
  it("still speaks when the body is none", () => {
    expect(problemOf(502, "Bad Gateway", null).message).toBe("Bad Gateway");
    expect(problemOf(500, "", "text").message).toBe("Answer 500");
  });

  it("lists the fields", () => {
    const problem = problemOf(422, "", { detail: "two things", errors: [{ where: "name", what: "too long" }, "odd"] });
    expect(sentence(problem, "")).toBe("two things. name: too long");
  });
});
