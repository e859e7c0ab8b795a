/** The geometry of the charts of quality: the curve of a plan, the funnel of crews, and intervals. Units are those of the picture. */

import type { CrewQuality, FarmCrewQuality } from "./crew-contracts";
import type { OcPoint, Span } from "./quality-contracts";

export const CHART = { width: 560, height: 300 } as const;

export interface Tick {
  at: number;
  value: number;
}

/** Return round values from 0 to at most `top`, about `wanted` of them. */
export function roundTicks(top: number, wanted = 5): number[] {
  if (!(top > 0)) return [0];
  const rough = top / wanted;
  const power = 10 ** Math.floor(Math.log10(rough));
  const step = power * ([1, 2, 5, 10].find((one) => one * power >= rough * 0.999) ?? 10);
  // counted and not added up, so that no tick is a hair beyond the top
  return Array.from({ length: Math.floor(top / step + 1e-9) + 1 }, (_, index) => Number((index * step).toPrecision(6)));
}

function points(line: readonly (readonly [number, number])[]): string {
  return line.map(([x, y]) => `${x.toFixed(1)},${y.toFixed(1)}`).join(" ");
}

/** Return how likely a lot with such a share of faulty trees is accepted, between the curve's points in a straight line. */
export function chanceAt(oc: readonly OcPoint[], share: number): number {
  const after = oc.findIndex(([at]) => at >= share);
  const [last] = oc.slice(-1);
  if (after === -1) return last?.[1] ?? 0;
  const [high, low] = [oc[after], oc[after - 1]];
  if (high === undefined) return 0;
  if (low === undefined || high[0] === low[0]) return high[1];
  return low[1] + ((share - low[0]) / (high[0] - low[0])) * (high[1] - low[1]);
}

export interface OcChart {
  line: string;
  across: Tick[];
  up: Tick[];
  /** Share of faulty trees at the right edge. */
  top: number;
  x(share: number): number;
  y(chance: number): number;
}

/** Return the curve of a plan: chance of being accepted by the share of faulty trees. */
export function ocChart(oc: readonly OcPoint[]): OcChart {
  const top = oc.at(-1)?.[0] || 1;
  const x = (share: number): number => (CHART.width * share) / top;
  const y = (chance: number): number => CHART.height * (1 - chance);
  return {
    line: points(oc.map(([share, chance]) => [x(share), y(chance)])),
    across: roundTicks(top, 6).map((value) => ({ value, at: x(value) })),
    up: [0, 0.25, 0.5, 0.75, 1].map((value) => ({ value, at: y(value) })),
    top,
    x,
    y,
  };
}

export interface FunnelCrew {
  crew: CrewQuality;
  x: number;
  y: number;
  share: number;
  /** Where its name stands. */
  label: { x: number; y: number; anchor: "start" | "end" };
}
export interface FunnelChart {
  crews: FunnelCrew[];
  near: [low: string, high: string];
  far: [low: string, high: string];
  middle_y: number;
  across: Tick[];
  up: Tick[];
}

const NAME_HEIGHT = 18;
/** About how wide a letter of a name is. */
const LETTER_WIDTH = 9;
const GAP = 10;

/**
 * Return the share of faulty trees that a crew would have on the farm's own mix of blocks: its ratio to what was to be expected
 * in its blocks, times the farm's share. So a crew in bad blocks is not blamed for them.
 */
export function fairShare({ checked, faulty, ratio }: CrewQuality, farmShare: number): number {
  if (ratio !== null) return Math.min(1, ratio * farmShare);
  return checked === 0 ? 0 : faulty / checked;
}

/** Return the funnel; null where no tree was checked or no limits are told. */
export function funnelChart({ crews, funnel, faulty_share }: FarmCrewQuality): FunnelChart | null {
  const seen = crews.filter(({ checked }) => checked > 0);
  if (seen.length === 0 || funnel.length === 0 || faulty_share === null) return null;
  const widest = Math.max(...seen.map(({ checked }) => checked), ...funnel.map(([checked]) => checked));
  const fewest = Math.min(...seen.map(({ checked }) => checked));
  const shares = seen.map((crew) => fairShare(crew, faulty_share));
  const limits = funnel.filter(([checked]) => checked >= fewest).map((line) => line[4]);
  // a crew with hardly any checks must not press all others flat
  const top = Math.min(1, 1.15 * Math.max(...shares, 2 * faulty_share, Math.min(Math.max(0, ...limits), 5 * faulty_share), 0.01));
  const x = (checked: number): number => (CHART.width * checked) / widest;
  const y = (share: number): number => CHART.height * (1 - Math.min(share, top) / top);
  const line = (at: 1 | 2 | 3 | 4): string => points(funnel.map((one) => [x(one[0]), y(one[at])]));
  return {
    crews: labelled(seen.map((crew, at) => ({ crew, share: shares[at] ?? 0, x: x(crew.checked), y: y(shares[at] ?? 0) }))),
    near: [line(1), line(2)],
    far: [line(3), line(4)],
    middle_y: y(faulty_share),
    across: roundTicks(widest).map((value) => ({ value, at: x(value) })),
    up: roundTicks(top).map((value) => ({ value, at: y(value) })),
  };
}

/** Give each crew a place for its name beside its point, lower where another name stands there already. */
function labelled(crews: readonly Omit<FunnelCrew, "label">[]): FunnelCrew[] {
  const taken: { left: number; right: number; y: number }[] = [];
  return [...crews]
    .sort((a, b) => a.y - b.y)
    .map((one) => {
      const width = one.crew.crew.length * LETTER_WIDTH;
      const isAtEdge = one.x + GAP + width > CHART.width;
      const [left, right] = isAtEdge ? [one.x - GAP - width, one.x - GAP] : [one.x + GAP, one.x + GAP + width];
      let y = one.y + 5;
      for (const other of taken) {
        if (other.left < right && left < other.right && y - other.y < NAME_HEIGHT) y = Math.max(y, other.y + NAME_HEIGHT);
      }
      taken.push({ left, right, y });
      taken.sort((a, b) => a.y - b.y);
      return { ...one, label: { x: isAtEdge ? right : left, y, anchor: isAtEdge ? "end" : "start" } };
    });
}

/** Return where an interval lies on a scale, in hundredths of its length; never outside, never too thin to be seen. */
export function spanOn([low, high]: Span, [from, to]: Span): { left: number; width: number } {
  const place = (value: number): number => Math.min(100, Math.max(0, (100 * (value - from)) / (to - from)));
  const left = Math.min(place(low), 99);
  return { left, width: Math.max(1, place(high) - left) };
}

/** Return the end of a scale that holds shares up to `most`: the next tenth, at least one in ten. */
export function scaleEnd(...most: readonly number[]): number {
  return Math.min(1, Math.max(0.1, Math.ceil(Math.max(...most) * 10 - 1e-9) / 10));
}
