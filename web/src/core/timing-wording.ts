/** The sentences of the screen on timing: notices, weather, and what advice goes by. */

import { t, tn } from "./language";

/** What a setting says, by its name; a newer service may have more. */
const SETTING: Readonly<Record<string, string>> = {
  hard_frost_c: t("A minimum that harms fresh cuts, or a lower one"),
  frost_high_risk_days: t("High risk: so many days from a cut to the frost at most"),
  frost_falling_risk_days: t("Falling risk: so many days from a cut to the frost at most"),
  wet_day_mm: t("Rain of a wet day, at least"),
  line_base_m: t("Least distance from a power line"),
  line_base_kv: t("That distance holds up to this voltage to ground"),
  line_step_m: t("More distance for every step of voltage above it"),
  line_step_kv: t("Such a step"),
  line_reach_m: t("How far people, ladders, poles and platforms reach out of a row"),
  slope_caution_percent: t("A block is steep from this rise over run on"),
  count_half_width_percent: t("Enough trees are counted once the mean is known this closely, either way"),
  count_confidence_percent: t("How sure that is meant to be"),
};

/** The same in a few words, as a limit that a notice was made with. */
const LIMIT: Readonly<Record<string, (value: string) => string>> = {
  hard_frost_c: (value) => t("hard frost at {value} °C or below", { value }),
  frost_high_risk_days: (value) => t("high risk within {value} d of the cut", { value }),
  frost_falling_risk_days: (value) => t("falling risk within {value} d", { value }),
  wet_day_mm: (value) => t("a wet day has {value} mm of rain or more", { value }),
};

/** A source is told as it was published, where it was. */
const sourceWords = (source: string): string => (source === "common practice" ? t("common practice") : source);

export const TIMING = {
  title: t("Timing"),
  purpose: t("When to cut, and when better not: from the weather you load and from what was marked. All of it is advice."),
  notices: t("Notices"),
  noNotice: t("No notice: nothing that was marked or is to come is at risk, as far as the weather below tells."),
  noWeather: t("No weather is loaded yet, so nothing is known of frost and rain. Load a table below."),
  level: { high: t("High risk"), falling: t("Falling risk"), note: t("To note") },
  limit: (name: string, value: string) => LIMIT[name]?.(value) ?? `${name} ${value}`,
  goesBy: (limits: string) => t("Goes by: {limits}.", { limits }),
  source: (source: string) => t("Source: {source}.", { source: sourceWords(source) }),

  weather: t("Weather"),
  loaded: (first: string, last: string, at: string) => t("Loaded: {first} to {last}. The last file came {at}.", { first, last, at }),
  days: (n: number) => tn("{n} day is told.", "{n} days are told.", n),
  gap: (first: string, last: string) => (first === last ? first : t("{first} to {last}", { first, last })),
  gaps: (list: string) => t("Missing: {list}. Of these days nothing is known.", { list }),
  noGaps: t("No day is missing in between."),
  stillForecast: (n: number) =>
    tn(
      "{n} day that is over is kept as it was forecast: load what was measured.",
      "{n} days that are over are kept as they were forecast: load what was measured.",
      n,
    ),
  drop: t("Drop a table of weather here"),
  chooseFile: t("Choose a file"),
  formats: t(
    "A CSV file with a line for each day. Its first line is date,tmin_c,tmax_c,rain_mm (or date,tmin_f,tmax_f,rain_in; rain may be left out), the next ones like 2026-01-14,-6.5,1.2,0. Most weather stations and spreadsheets save one. Days to come count as forecast. A later file replaces the days it holds and keeps the others; nothing is fetched from anywhere.",
  ),
  reading: t("Reading the file…"),
  took: (n: number) => tn("{n} day was taken.", "{n} days were taken.", n),
  emptyFile: t("The file is empty: its first line must name the columns, and a line for each day must follow."),
  refused: (why: string) => t("Nothing of this file was taken. {why}", { why }),
  forget: t("Forget all weather"),
  forgetSure: t("Forget every day that was loaded?"),
  forgetYes: t("Forget it"),
  forgot: t("No weather is loaded any more."),

  chart: t("Minimum of each day"),
  chartAlt: (first: string, last: string, low: string, frosts: number) =>
    tn(
      "Minima from {first} to {last}; the lowest is {low} °C, and {n} day has a hard frost. The table below holds every day.",
      "Minima from {first} to {last}; the lowest is {low} °C, and {n} days have a hard frost. The table below holds every day.",
      frosts,
      { first, last, low },
    ),
  chartFrost: (celsius: string) => t("hard frost, {celsius} °C", { celsius }),
  chartToday: t("today"),
  key: {
    measured: t("measured"),
    forecast: t("forecast"),
    frost: t("hard frost"),
    cuts: t("rows were cut on that day"),
  },
  everyDay: t("Every day as a table"),
  columns: { day: t("Day"), low: t("Minimum, °C"), high: t("Maximum, °C"), rain: t("Rain, mm"), cut: t("Rows cut") },
  forecastMark: (day: string) => t("{day}, forecast", { day }),
  notTold: t("not told"),

  greenTip: t("Green tip"),
  greenTipNone: t("Not told: the table of weather must hold 1 March and the days after it."),
  greenTipLater: t("Not within the table of weather: it ends, or has a gap, before enough warm days came together."),
  greenTipIs: (estimate: string, earliest: string, latest: string) =>
    t("About {estimate}, between {earliest} and {latest}: an estimate.", { estimate, earliest, latest }),
  greenTipSpread: (earliest: string, latest: string) =>
    t("The sums that were published spread from {earliest} to {latest} (dotted).", { earliest, latest }),
  mustFinish: (day: string) => t("must finish, {day}", { day }),

  settings: t("What the advice goes by"),
  settingsPurpose: t("Each number has its source beside it. Where you know better for your place, set your own; law, label and licensed practice come first."),
  timingSettings: t("Frost and rain"),
  hazardSettings: t("Power lines and slopes"),
  countSettings: t("Counting trees"),
  setting: (name: string) => SETTING[name] ?? name,
  withUnit: (text: string, unit: string) => t("{text} ({unit})", { text, unit }),
  published: (value: string, unit: string, source: string) => t("First guess: {value} {unit}. {source}.", { value, unit, source: sourceWords(source) }),
  asPublished: t("As published"),
  save: t("Save"),
  saved: t("Saved."),
  nothingChanged: t("Nothing was changed."),
  needsNumber: (low: string, high: string, unit: string) => t("Give a number from {low} to {high} {unit}.", { low, high, unit }),

  varieties: t("Varieties"),
  varietiesPurpose: t("Those that bear every year go first; those prone to canker are cut on dry days."),
  variety: t("Variety"),
  biennial: t("Bears every other year"),
  cankerProne: t("Prone to canker"),
  noVarieties: t("No variety yet: add one in Set-up."),
  savedOf: (name: string) => t("Saved: {name}.", { name }),

  slopes: t("Slopes of blocks"),
  slopesPurpose: t("How steep a block is where it is steepest: metres of rise on a hundred metres, in percent. Leave it empty where nobody knows."),
  slopeOf: (code: string) => t("Slope of {code}, percent", { code }),
  block: t("Block"),
  slope: t("Slope, %"),
  slopesByManager: t("A manager says how steep a block is."),

  lines: t("Power lines"),
  linesPurpose: t("Rows within reach of a line are told to their crews. How high it hangs is not known, so it counts as within reach everywhere."),
  noLines: t("No power line yet."),
  line: (name: string, kv: string, keep: string) => t("{name}: {kv} kV to ground, keep {keep} m away", { name, kv, keep }),
  linesByManager: t("A manager adds and removes power lines."),
  lineName: t("Name of the line"),
  lineKv: t("Voltage to ground, kV"),
  linePoints: t("Its poles"),
  linePointsHint: t("One pole on each line, longitude before latitude, such as 11.3021, 46.5003. Or choose a GeoJSON file with a line."),
  lineFile: t("GeoJSON file"),
  addLine: t("Add the line"),
  needsName: t("Give it a name."),
  needsKv: t("Give the voltage to ground in kilovolts."),
  needsPoints: t("Give two poles at least, or a file."),
  wrongPoint: (line: number) => t("What stands in line {line} is no longitude and latitude.", { line }),
  noGeojson: t("The file is not JSON."),
  added: (name: string) => t("Added: {name}.", { name }),
  removed: (name: string) => t("Removed: {name}.", { name }),
  removeLine: t("Remove"),
  removeLineOf: (name: string) => t("Remove {name}", { name }),
  removeSure: (name: string) => t("Remove {name}? Crews are no longer told of it.", { name }),
  removeYes: t("Remove it"),
} as const;
