import { expect, it } from "vitest";
import { AGAIN_MS, liveOf, SILENT_MS, type LogPlace } from "../../src/data/live";

/** A page that follows, over streams that a test speaks on. */
function page() {
  const at = { ms: 0, hidden: false, rings: 0 };
  const streams: { farm: string; closed: boolean; say(place: LogPlace): void; fail(): void }[] = [];
  const live = liveOf({
    open(farm) {
      const heard = new Map<string, (event: Event) => void>();
      const made = {
        farm,
        closed: false,
        say: (place: LogPlace) => heard.get("change")?.(new MessageEvent("change", { data: JSON.stringify(place) })),
        fail: () => heard.get("error")?.(new Event("error")),
      };
      streams.push(made);
      return {
        addEventListener: (name: string, listener: unknown) => void heard.set(name, listener as (event: Event) => void),
        close: () => void (made.closed = true),
      };
    },
    now: () => at.ms,
    isHidden: () => at.hidden,
    rung: () => void (at.rings += 1),
  });
  return { at, streams, live };
}
const PLACE = { cursor: 7, epoch: "e1" };

it("rings when the log went on, once for each place that is told", () => {
  const { at, streams, live } = page();
  live.tend("f 1");
  live.tend("f 1");
  expect(streams.map(({ farm }) => farm)).toEqual(["f 1"]);
  expect(live.place()).toBeNull();
  streams[0]!.say(PLACE);
  streams[0]!.say(PLACE); // a beat
  expect([at.rings, live.place()]).toEqual([1, PLACE]);
  streams[0]!.say({ ...PLACE, cursor: 8 });
  streams[0]!.say({ cursor: 8, epoch: "e2" }); // the database was put back
  expect([at.rings, live.place()]).toEqual([3, { cursor: 8, epoch: "e2" }]);
});

it("a broken stream rings once, so that the page asks by itself, and speaks again when the browser has it back", () => {
  const { at, streams, live } = page();
  live.tend("f");
  streams[0]!.say(PLACE);
  streams[0]!.fail();
  streams[0]!.fail();
  expect([at.rings, live.place()]).toEqual([2, null]);
  streams[0]!.say(PLACE);
  expect([at.rings, live.place()]).toEqual([3, PLACE]);
});

it("a silent stream is not believed, and another one is opened in its place after a while", () => {
  const { at, streams, live } = page();
  live.tend("f");
  streams[0]!.say(PLACE);
  at.ms += SILENT_MS + 1;
  expect(live.place()).toBeNull();
  at.ms = AGAIN_MS + 1;
  live.tend("f");
  expect(streams.map(({ closed }) => closed)).toEqual([true, false]);
  streams[0]!.say({ ...PLACE, cursor: 99 }); // what was left says nothing
  expect(live.place()).toBeNull();
});

it("a hidden page, a page without a farm and a page of another farm hold no stream open", () => {
  const { at, streams, live } = page();
  live.tend("f");
  at.hidden = true;
  live.tend("f");
  at.hidden = false;
  live.tend("f");
  live.tend("g");
  live.tend(null);
  expect(streams.map(({ farm, closed }) => [farm, closed])).toEqual([["f", true], ["f", true], ["g", true]]);
});
