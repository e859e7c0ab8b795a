import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import type { BriefContent } from "../../src/core/brief-contracts";
import { draftSavingOf, type SavingState } from "../../src/data/draft-saving";
import { NoAnswer, Problem } from "../../src/data/request";
import { content, point } from "../core/brief-kit";

const problem = (status: number): Problem => new Problem(status, "t", "no", "", "", []);
const saying = (key: string): BriefContent => content([point(key)]);

/** Return a saving over answers given one after the other, and what was saved on which revision. */
function over(...answers: (number | Error)[]) {
  const sent: [revision: number, key: string | undefined][] = [];
  const states: SavingState["is"][] = [];
  const saving = draftSavingOf({
    revision: 1,
    async save(revision, { points }) {
      sent.push([revision, points[0]?.key]);
      await new Promise((done) => setTimeout(done, 100));
      const answer = answers.shift() ?? revision + 1;
      if (answer instanceof Error) throw answer;
      return { revision: answer };
    },
    told: (state) => void states.push(state.is),
  });
  return { saving, sent, states };
}

beforeEach(() => void vi.useFakeTimers());
afterEach(() => void vi.useRealTimers());

describe("a draft", () => {
  it("is saved once, a moment after the last of several changes, on the revision it was made from", async () => {
    const { saving, sent, states } = over();
    for (const key of ["a", "ab", "abc"]) {
      saving.change(saying(key));
      await vi.advanceTimersByTimeAsync(500);
    }
    expect(sent).toEqual([]);
    await vi.advanceTimersByTimeAsync(2_000);
    expect(sent).toEqual([[1, "abc"]]);
    expect([saving.state().is, saving.revision(), states.at(-1)]).toEqual(["saved", 2, "saved"]);
  });

  it("that is changed while it is being saved is saved again, on the revision that came back", async () => {
    const { saving, sent } = over(5);
    saving.change(saying("a"));
    const all = saving.flush();
    await vi.advanceTimersByTimeAsync(50);
    saving.change(saying("b"));
    await vi.advanceTimersByTimeAsync(1_000);
    expect(await all).toBe(true);
    expect(sent).toEqual([[1, "a"], [5, "b"]]);
  });

  it("is not said to be saved before all of it is", async () => {
    const { saving, states } = over();
    saving.change(saying("a"));
    void saving.flush();
    await vi.advanceTimersByTimeAsync(50);
    saving.change(saying("b"));
    await vi.advanceTimersByTimeAsync(60);
    expect(states).not.toContain("saved");
    await vi.advanceTimersByTimeAsync(200);
    expect(states.filter((state) => state === "saved")).toHaveLength(1);
  });

  it("that the service did not answer for is tried again by itself, with what it says by then", async () => {
    const { saving, sent } = over(new NoAnswer("away"), problem(503));
    saving.change(saying("a"));
    await vi.advanceTimersByTimeAsync(1_100);
    expect(saving.state().is).toBe("waiting");
    await vi.advanceTimersByTimeAsync(11_000);
    expect([sent.length, saving.state().is]).toEqual([3, "saved"]);
    expect(new Set(sent.map(([revision]) => revision))).toEqual(new Set([1]));
  });

  it("whose page is left is tried once more, and then no more: what stays unsaved is taken up by the next page", async () => {
    const { saving, sent } = over(new NoAnswer("away"), new NoAnswer("away"));
    saving.change(saying("a"));
    await vi.advanceTimersByTimeAsync(1_100);
    void saving.flush();
    saving.close();
    await vi.advanceTimersByTimeAsync(60_000);
    expect(sent).toHaveLength(2);
  });

  it("that somebody else saved meanwhile is not saved over unasked; asked, over the revision that is there", async () => {
    const { saving, sent } = over(problem(409));
    saving.change(saying("a"));
    await vi.advanceTimersByTimeAsync(1_100);
    expect(saving.state().is).toBe("behind");
    saving.change(saying("b"));
    const tried = saving.flush();
    await vi.advanceTimersByTimeAsync(60_000);
    expect([await tried, sent.length]).toEqual([false, 1]);
    const saved = saving.saveOver(9);
    await vi.advanceTimersByTimeAsync(200);
    expect([await saved, sent.at(-1), saving.revision()]).toEqual([true, [9, "b"], 10]);
  });

  it("that is refused waits for the next change, which is tried", async () => {
    const { saving, sent } = over(problem(422));
    saving.change(saying("a"));
    await vi.advanceTimersByTimeAsync(60_000);
    expect([saving.state().is, sent.length]).toEqual(["refused", 1]);
    saving.change(saying("b"));
    await vi.advanceTimersByTimeAsync(1_100);
    expect(saving.state().is).toBe("saved");
  });
});
