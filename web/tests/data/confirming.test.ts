import { describe, expect, it, vi } from "vitest";
import { confirmingOf } from "../../src/data/confirming";
import { Problem, type Request, type RequestOptions } from "../../src/data/request";

const problem = (kind: string): Problem => new Problem(403, "t", "no", "", "", [], kind);

/** Return a request over answers given one after the other, what was sent, and how it is asked for the password. */
function over(answers: (string | Problem)[], ...given: boolean[]) {
  const sent: [string, RequestOptions | undefined][] = [];
  const request = (async (path: string, options?: RequestOptions) => {
    sent.push([path, options]);
    const answer = answers.shift();
    if (answer === undefined) throw new Error("one answer too few");
    if (answer instanceof Problem) throw answer;
    return answer;
  }) as Request;
  const ask = vi.fn(async () => given.shift() ?? false);
  const told = vi.fn();
  return { sent, ask, told, ...confirmingOf(request, { ask, given: told }) };
}
const options: RequestOptions = { method: "POST", json: { id: "one" } };

describe("a request that the password is asked for", () => {
  it("goes again, the very same, once the password was given", async () => {
    const { request, sent, ask } = over([problem("unconfirmed"), "settled"], true);
    expect(await request("/settlements", options)).toBe("settled");
    expect(sent).toEqual([["/settlements", options], ["/settlements", options]]);
    expect(ask).toHaveBeenCalledTimes(1);
  });

  it("goes again once only: a service that asks for ever asks nobody for ever", async () => {
    const { request, sent, ask } = over([problem("unconfirmed"), problem("unconfirmed")], true, true);
    await expect(request("/settlements", options)).rejects.toMatchObject({ kind: "unconfirmed" });
    expect([sent.length, ask.mock.calls.length]).toEqual([2, 1]);
  });

  it("says what the service said when nobody gives it", async () => {
    const { request, sent } = over([problem("unconfirmed")], false);
    await expect(request("/settlements", options)).rejects.toMatchObject({ kind: "unconfirmed" });
    expect(sent).toHaveLength(1);
  });

  it("says the same when the question itself does not come", async () => {
    const { request } = confirmingOf(over([problem("unconfirmed")]).request, {
      ask: () => Promise.reject(new TypeError("no connection")),
      given: () => undefined,
    });
    await expect(request("/settlements", options)).rejects.toMatchObject({ kind: "unconfirmed" });
  });

  it.each(["not-allowed", "no-password"])("nobody is asked for anything else: %s", async (kind) => {
    const { request, ask } = over([problem(kind)], true);
    await expect(request("/x")).rejects.toMatchObject({ kind });
    expect(ask).not.toHaveBeenCalled();
  });

  it("two at once share one question", async () => {
    const { request, ask } = over([problem("unconfirmed"), problem("unconfirmed"), "a", "b"], true);
    expect(await Promise.all([request("/a"), request("/b")])).toEqual(["a", "b"]);
    expect(ask).toHaveBeenCalledTimes(1);
  });
});

describe("what waits on the device", () => {
  const waits: RequestOptions = { ...options, waits: true };
  const settled = (): Promise<void> => new Promise((resolve) => setTimeout(resolve));

  it("holds nobody up: its sender hears of it at once, and again when the password was given", async () => {
    const { request, sent, told } = over([problem("unconfirmed")], true);
    await expect(request("/withdrawals", waits)).rejects.toMatchObject({ kind: "unconfirmed" });
    await settled();
    expect(sent).toHaveLength(1);
    expect(told).toHaveBeenCalledTimes(1);
  });

  it("asks once, not with each try by itself, until somebody wants to send", async () => {
    const { request, ask, told, askAgain } = over([1, 2, 3].map(() => problem("unconfirmed")), false, true);
    for (let go = 0; go < 2; go += 1) {
      await expect(request("/withdrawals", waits)).rejects.toBeInstanceOf(Problem);
      await settled();
    }
    expect([ask.mock.calls.length, told.mock.calls.length]).toEqual([1, 0]);
    askAgain();
    await expect(request("/withdrawals", waits)).rejects.toBeInstanceOf(Problem);
    await settled();
    expect([ask.mock.calls.length, told.mock.calls.length]).toEqual([2, 1]);
  });
});
