import { describe, expect, it } from "vitest";
import type { Mark } from "../../src/core/contracts";
import type { SettlementBody } from "../../src/core/matters";
import { SETTLING } from "../../src/core/settling-wording";
import { NoAnswer, Problem } from "../../src/data/request";
import { decidingOf } from "../../src/screens/settling/deciding";

type Reply = "taken" | Error;
const problem = (status: number, detail = "no"): Problem => new Problem(status, "t", detail, "", "", []);

/** Return the way to decide over replies given one after the other, and the ids that were sent. */
function deciding(...replies: Reply[]) {
  const sent: string[] = [];
  const api = {
    markThere: async (_: string, mark: Mark) => {
      sent.push(mark.id);
      const reply = replies.shift();
      if (reply instanceof Error) throw reply;
    },
    settle: async (_: string, body: SettlementBody) => {
      sent.push(body.id);
      const reply = replies.shift();
      if (reply === undefined) throw new Error("one reply too few");
      if (reply instanceof Error) throw reply;
      return { number: 1, cursor: 1 };
    },
  };
  let made = 0;
  const make = (): SettlementBody[] => {
    made += 1;
    const body = (part: number): SettlementBody => ({
      id: `${made}.${part}`, record: { kind: "mark", id: "m", content_hash: null, reason_code: null }, seen: [], note: "",
    });
    return [body(1), body(2)];
  };
  const { carryOut } = decidingOf(api, "farm");
  return { sent, carryOut: (print: string) => carryOut(print, make) };
}

describe("deciding", () => {
  it("sends both parts of a split, once each", async () => {
    const { sent, carryOut } = deciding("taken", "taken");
    expect(await carryOut("a")).toEqual({ settled: true });
    expect(sent).toEqual(["1.1", "1.2"]);
  });

  it("after a lost answer the same choice goes again under the same id, and what is done is not sent again", async () => {
    const { sent, carryOut } = deciding("taken", new NoAnswer("none"), "taken");
    expect(await carryOut("a")).toEqual({ settled: false, words: SETTLING.half });
    expect(await carryOut("a")).toEqual({ settled: true });
    expect(sent).toEqual(["1.1", "1.2", "1.2"]);
  });

  it("nothing done yet is said otherwise than half done", async () => {
    const { carryOut } = deciding(new NoAnswer("none"));
    expect(await carryOut("a")).toEqual({ settled: false, words: SETTLING.notSettled });
  });

  it("another choice is another settlement with ids of its own", async () => {
    const { sent, carryOut } = deciding(new NoAnswer("none"), "taken", "taken");
    await carryOut("a");
    expect(await carryOut("b")).toEqual({ settled: true });
    expect(sent).toEqual(["1.1", "2.1", "2.2"]);
  });

  it("409 and 422 are said in words, and the next try has new ids", async () => {
    const { sent, carryOut } = deciding(problem(409), problem(422, "the row has fewer positions"), "taken", "taken");
    expect(await carryOut("a")).toEqual({ settled: false, words: SETTLING.moved });
    expect(await carryOut("a")).toEqual({ settled: false, words: "the row has fewer positions" });
    expect(await carryOut("a")).toEqual({ settled: true });
    expect(sent).toEqual(["1.1", "2.1", "3.1", "3.2"]);
  });

  it("the service's own trouble (503) keeps the ids: it may have stored before it failed", async () => {
    const { sent, carryOut } = deciding(problem(503), "taken", "taken");
    await carryOut("a");
    await carryOut("a");
    expect(sent).toEqual(["1.1", "1.1", "1.2"]);
  });
});
