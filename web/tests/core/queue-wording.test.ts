import { expect, it } from "vitest";
import { PARTS, QUEUE, queueWords } from "../../src/core/queue-wording";

it("says all sent of nothing that waits, is not safe, was refused, or was set aside unread; and says each of these", () => {
  const numbers = [0, 1, 3];
  for (const waiting of numbers)
    for (const setAside of numbers)
      for (const refused of numbers)
        for (const refusedSeen of numbers)
          for (const unsafe of numbers.filter((n) => n <= waiting))
            for (const busy of [false, true]) {
              const words = queueWords({ waiting, setAside, refused, refusedSeen, oldestWaiting: null }, busy, unsafe);
              const isDone = waiting + setAside + refused + refusedSeen === 0;
              expect(words.includes(QUEUE.allSent)).toBe(isDone);
              expect(words.includes("safe")).toBe(waiting > unsafe);
              expect(words.includes("set aside")).toBe(setAside > 0);
              expect(words.includes(QUEUE.notTaken(refused + refusedSeen))).toBe(refused + refusedSeen > 0);
              expect(words.includes(QUEUE.sending)).toBe(busy && waiting > unsafe);
            }
});

it("every state of a record but the sent one has a heading and what to do", () => {
  expect(Object.keys(PARTS).sort()).toEqual(["refused", "set_aside", "waiting"]);
});

it("does not say all sent while a photo is here that the service refused", () => {
  const none = { waiting: 0, setAside: 0, refused: 0, refusedSeen: 0, oldestWaiting: null };
  expect(queueWords(none, false, 0, 0, 1)).toBe(QUEUE.photosRefused(1));
  expect(queueWords(none, false, 0, 0, 0)).toBe(QUEUE.allSent);
});
