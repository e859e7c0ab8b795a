import { describe, expect, it } from "vitest";
import type { Receipts, Withdrawal } from "../../src/core/contracts";
import { NoAnswer, Problem } from "../../src/data/request";
import { sendingOf } from "../../src/data/sending";

const withdrawal = (id: string): Withdrawal => ({ id, mark_id: "m", device_at: "2026-11-25T09:00:00.000Z" });
const receipts = (...ids: string[]): Receipts => ({
  outcomes: ids.map((id) => ({ id, outcome: "taken", reason: "" })),
  cursor: 1,
});
type Reply = () => Promise<Receipts>;

/** Return a sender over replies given one after the other, and the ids that were handed in. */
function sender(...replies: Reply[]) {
  const handed: string[][] = [];
  const api = {
    handIn: (_: string, records: { values: { id: string }[] }) => {
      handed.push(records.values.map(({ id }) => id));
      const reply = replies.shift();
      if (reply === undefined) throw new Error("one reply too few");
      return reply();
    },
  };
  const sending = sendingOf(api, () => new Date(0), () => undefined);
  const handIn = (...ids: string[]) => sending.handIn("farm", { kind: "withdrawals", values: ids.map(withdrawal) }, { block: "b", row: ids.length });
  return { sending, handIn, handed };
}
const noAnswer: Reply = () => Promise.reject(new NoAnswer("none"));
const problem = (status: number): Reply => () => Promise.reject(new Problem(status, "t", "d", "", "", []));

describe("sending", () => {
  it("is saved once a receipt names it", async () => {
    const { sending, handIn } = sender(async () => receipts("a", "b"));
    expect((await handIn("a", "b")).state).toBe("answered");
    expect(sending.unsaved()).toHaveLength(0);
  });

  it("is not saved when the answer names only some of it", async () => {
    const { sending, handIn } = sender(async () => receipts("a"));
    expect((await handIn("a", "b")).state).toBe("not-sent");
    expect(sending.unsaved()).toHaveLength(1);
  });

  it("without an answer it waits, and goes again with the same ids", async () => {
    const { sending, handIn, handed } = sender(noAnswer, async () => receipts("a"));
    expect((await handIn("a")).state).toBe("not-sent");
    expect(await sending.tryAgain()).toBe(1);
    expect(handed).toEqual([["a"], ["a"]]);
    expect(sending.unsaved()).toHaveLength(0);
  });

  it("tells by row what is not saved, and sends that one again with the same id", async () => {
    const { sending, handIn, handed } = sender(noAnswer, noAnswer, async () => receipts("b", "c"));
    await handIn("a");
    await handIn("b", "c");
    const second = sending.waitingFor("b").find(({ subject }) => subject.row === 2);
    expect(sending.waitingFor("other")).toEqual([]);
    expect(second?.fate.state).toBe("not-sent");
    if (second !== undefined) await sending.again(second);
    expect(handed).toEqual([["a"], ["b", "c"], ["b", "c"]]);
    expect(sending.waitingFor("b").map(({ subject }) => subject.row)).toEqual([1]);
  });

  it("waits too when the service is in trouble itself", async () => {
    const { handIn } = sender(problem(503));
    expect((await handIn("a")).state).toBe("not-sent");
  });

  it("a refusal is shown, not sent again, and goes when it was read", async () => {
    const { sending, handIn, handed } = sender(problem(422));
    expect((await handIn("a")).state).toBe("refused");
    await sending.tryAgain();
    expect(handed).toEqual([["a"]]);
    sending.forgetRefused();
    expect(sending.unsaved()).toHaveLength(0);
  });

  it("one parcel that cannot go does not hold up the next", async () => {
    const { sending, handIn } = sender(noAnswer, noAnswer, noAnswer, async () => receipts("b"));
    await handIn("a");
    await handIn("b");
    await sending.tryAgain();
    expect(sending.unsaved().map(({ records }) => records.values[0]?.id)).toEqual(["a"]);
  });
});
