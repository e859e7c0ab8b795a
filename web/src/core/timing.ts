/** When to cut: what the service tells of weather, notices and settings, and the chart of minima. */

import { measure, typedNumber } from "./numbers";
import { measureText } from "./typed-measure";

export interface Notice {
  kind: "frost_on_cuts" | "frost_ahead" | "wet_cuts" | "wet_ahead" | "order" | "green_tip";
  level: "high" | "falling" | "note";
  /** Somebody should know today. */
  asks_today: boolean;
  /** Language to sentence, as the next two. */
  title: Record<string, string>;
  text: Record<string, string>;
  defers: Record<string, string>;
  source: string;
  /** Limits that it was made with, by the names of the settings. */
  settings: Record<string, number>;
  days: string[];
  cut_days: string[];
  rows: number;
  blocks: { id: string; code: string }[];
  green_tip: GreenTip | null;
}
export interface GreenTip {
  estimate: string | null;
  earliest: string | null;
  latest: string | null;
  published_earliest: string | null;
  published_latest: string | null;
}
/** So many rows were cut on a day. */
export interface CutDay {
  day: string;
  rows: number;
}
export interface Timing {
  day: string;
  cursor: number;
  notices: Notice[];
  cut_days: CutDay[];
}
export interface WeatherDay {
  day: string;
  tmin_c: number;
  tmax_c: number;
  rain_mm: number | null;
  /** Loaded before it was over. */
  is_forecast: boolean;
}
export interface Weather {
  first_day: string | null;
  last_day: string | null;
  loaded_at: string | null;
  gaps: [string, string][];
  days: WeatherDay[];
}
export interface Setting {
  name: string;
  value: number;
  /** As it was published, or is common practice. */
  default: number;
  unit: string;
  low: number;
  high: number;
  is_whole: boolean;
  source: string;
}

export interface PowerLine {
  id: string;
  name: string;
  /** Voltage to ground. */
  kv: number;
  /** Distance to keep. */
  clearance_m: number;
}

/** Return a sentence in a language, in English where it is not said in that one. */
export function inLanguage(sentences: Record<string, string>, language: string): string {
  return sentences[language] ?? sentences["en"] ?? "";
}

/** Return a temperature as people read it, with a minus and not a hyphen. */
export function degrees(celsius: number): string {
  return measure(celsius).replace("-", "\u2212");
}

const DAY_MS = 86_400_000;

/** Return how many days after the first an ISO day is. */
export function daysAfter(first: string, day: string): number {
  return Math.round((Date.parse(day) - Date.parse(first)) / DAY_MS);
}

/** One unbroken piece of the line of minima. */
export interface ChartPiece {
  isForecast: boolean;
  points: [x: number, y: number][];
}
export interface MinimaChart {
  width: number;
  height: number;
  pieces: ChartPiece[];
  /** Where each day with a hard frost stands. */
  frosts: [x: number, y: number][];
  frostLine_y: number;
  zero_y: number;
  cuts: { x: number; day: string; rows: number }[];
  /** Where today stands; null outside of the table. */
  today_x: number | null;
  months: { x: number; day: string }[];
}
const WIDTH = 720;
const HEIGHT = 240;
const EDGE = 12;

/**
 * Return the chart of a table's minima, in units of its picture: a piece ends at a gap and where the forecast begins,
 * and the forecast begins with the last day that was measured.
 */
export function minimaChart(days: readonly WeatherDay[], cuts: readonly CutDay[], frost_c: number, today: string): MinimaChart | null {
  const first = days[0]?.day;
  const last = days.at(-1)?.day;
  if (first === undefined || last === undefined) return null;
  const span = Math.max(1, daysAfter(first, last));
  const minima = days.map(({ tmin_c }) => tmin_c);
  const low = Math.min(frost_c, ...minima) - 2;
  const high = Math.max(0, ...minima) + 2;
  const x = (day: string): number => EDGE + ((WIDTH - 2 * EDGE) * daysAfter(first, day)) / span;
  const y = (celsius: number): number => (HEIGHT * (high - celsius)) / (high - low);
  const inside = (day: string): boolean => day >= first && day <= last;
  const pieces: ChartPiece[] = [];
  let before: WeatherDay | null = null;
  for (const one of days) {
    const piece = pieces.at(-1);
    const follows = before !== null && daysAfter(before.day, one.day) === 1;
    const point: [number, number] = [x(one.day), y(one.tmin_c)];
    if (piece !== undefined && follows && piece.isForecast === one.is_forecast) piece.points.push(point);
    else {
      const from = piece !== undefined && follows ? piece.points.slice(-1) : [];
      pieces.push({ isForecast: one.is_forecast, points: [...from, point] });
    }
    before = one;
  }
  return {
    width: WIDTH,
    height: HEIGHT,
    pieces,
    frosts: days.filter(({ tmin_c }) => tmin_c <= frost_c).map(({ day, tmin_c }) => [x(day), y(tmin_c)]),
    frostLine_y: y(frost_c),
    zero_y: y(0),
    cuts: cuts.filter(({ day }) => inside(day)).map(({ day, rows }) => ({ x: x(day), day, rows })),
    today_x: inside(today) ? x(today) : null,
    months: days.filter(({ day }) => day.endsWith("-01")).map(({ day }) => ({ x: x(day), day })),
  };
}

/** Return a setting as it stands in its field: no more decimals than are of use. */
export function settingText({ is_whole }: Pick<Setting, "is_whole">, value: number): string {
  return is_whole ? String(value) : measureText(Number(value.toFixed(2)));
}

/** Return what a typed number sets: exactly what was published where it is that number as shown; null where nothing is changed. */
export function changedSetting(setting: Setting, typed: number): number | null {
  const text = settingText(setting, typed);
  if (text === settingText(setting, setting.value)) return null;
  return text === settingText(setting, setting.default) ? setting.default : typed;
}

/** Two numbers set apart by a space or a semicolon, with points or decimal commas. */
const PAIR = /^(-?\d+(?:[.,]\d+)?)(?:\s*;\s*|,?\s+)(-?\d+(?:[.,]\d+)?)$/;
/** Set apart by a comma alone: one of them must have its point, for "11,3021" is one number to many. */
const POINTED_PAIR = /^(?=.*\.)(-?\d+(?:\.\d+)?),(-?\d+(?:\.\d+)?)$/;

/** Return the longitude and latitude of each line of text, or the number of the first line that is none. */
export function typedPoints(text: string): [lon: number, lat: number][] | { wrongLine: number } {
  const points: [number, number][] = [];
  for (const [at, line] of text.split("\n").entries()) {
    if (line.trim() === "") continue;
    const found = PAIR.exec(line.trim()) ?? POINTED_PAIR.exec(line.trim());
    const [lon, lat] = [1, 2].map((at) => typedNumber(found?.[at] ?? "") ?? NaN) as [number, number];
    if (!(Math.abs(lon) <= 180 && Math.abs(lat) <= 90)) return { wrongLine: at + 1 };
    points.push([lon, lat]);
  }
  return points;
}
