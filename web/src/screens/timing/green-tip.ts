/** Green tip as a bar: the estimate within its interval, the published spread around it, and the day to be finished by. */

import type { Season } from "../../core/contracts";
import { dayText } from "../../core/numbers";
import { daysAfter, type GreenTip, type Timing, type Weather } from "../../core/timing";
import { TIMING } from "../../core/timing-wording";
import { h, s } from "../../ui/dom";

const WIDTH = 720;

function bar(tip: GreenTip & { estimate: string; earliest: string; latest: string }, today: string, season: Season | null): SVGElement {
  const spread = [tip.published_earliest, tip.published_latest].filter((day): day is string => day !== null);
  const finish = season === null ? [] : [season.must_finish_on];
  const days = [tip.earliest, tip.latest, today, ...spread, ...finish].sort();
  const [first = today, last = today] = [days[0], days.at(-1)];
  const x = (day: string): number => 20 + ((WIDTH - 40) * daysAfter(first, day)) / Math.max(1, daysAfter(first, last));
  const tick = (day: string, words: string, y: number): SVGElement =>
    s(
      "g",
      {},
      s("line", { class: "spring-tick", x1: x(day), x2: x(day), y1: 22, y2: 62 }),
      s("text", { x: x(day), y, "text-anchor": x(day) < WIDTH / 3 ? "start" : x(day) > (2 * WIDTH) / 3 ? "end" : "middle" }, words),
    );
  const [from, to] = [spread[0], spread[1]];
  return s(
    "svg",
    { class: "spring", viewBox: `0 0 ${WIDTH} 100`, role: "img", "aria-label": TIMING.greenTipIs(dayText(tip.estimate), dayText(tip.earliest), dayText(tip.latest)) },
    s("line", { class: "spring-time", x1: 0, x2: WIDTH, y1: 42, y2: 42 }),
    from !== undefined && to !== undefined ? s("line", { class: "spring-spread", x1: x(from), x2: x(to), y1: 42, y2: 42 }) : null,
    s("rect", { class: "spring-interval", x: x(tip.earliest), y: 32, width: Math.max(2, x(tip.latest) - x(tip.earliest)), height: 20 }),
    s("path", { class: "spring-estimate", d: `M${x(tip.estimate)} 28l14 14-14 14-14-14z` }),
    tick(today, TIMING.chartToday, 16),
    season === null ? null : tick(season.must_finish_on, TIMING.mustFinish(dayText(season.must_finish_on)), 78),
  );
}

/** Return the section. */
export function greenTipSection(timing: Timing, weather: Weather, season: Season | null): Element[] {
  const tip = timing.notices.find(({ kind }) => kind === "green_tip")?.green_tip ?? null;
  const head = h("h2", {}, TIMING.greenTip);
  if (tip === null) return weather.days.length === 0 ? [] : [head, h("p", {}, TIMING.greenTipNone)];
  const { estimate, earliest, latest } = tip;
  if (estimate === null || earliest === null || latest === null) return [head, h("p", {}, TIMING.greenTipLater)];
  const words = [
    TIMING.greenTipIs(dayText(estimate), dayText(earliest), dayText(latest)),
    tip.published_earliest !== null && tip.published_latest !== null
      ? TIMING.greenTipSpread(dayText(tip.published_earliest), dayText(tip.published_latest))
      : "",
  ];
  return [head, h("p", {}, words.filter((part) => part !== "").join(" ")), bar({ ...tip, estimate, earliest, latest }, timing.day, season)];
}
