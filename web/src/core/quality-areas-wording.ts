/** The sentences of weak areas, of crews side by side, and of auditors on the same trees. */

import { stretch, trees } from "./counted";
import { HABIT } from "./wording";
import { t, tn } from "./language";
import { count, inHundred, measure } from "./numbers";
import type { Standing } from "./crew-contracts";
import type { AreaState, WeakArea } from "./quality-contracts";
import { rowSpan } from "./quality-lot-wording";

export const AREA_STATE: Record<AreaState, string> = {
  suspect: t("suspect"),
  confirmed: t("confirmed by new trees"),
  none: t("cleared by new trees"),
};

export const WEAK = {
  lead: t("A weak area is a part of a block where more faulty trees were found than chance alone would bring together."),
  none: t("No weak area: what was found faulty lies no closer together than chance would bring."),
  level: t("How often may chance alone show an area?"),
  levelLead: t("Rarer: what is shown is surer. More often: less is missed, and a crew looks at sound trees now and then."),
  levelChoice: (level: number, areas: number) => t("1 time in {of}: {areas}", { of: count(1 / level), areas: tn("{n} area", "{n} areas", areas) }),
  levelSame: t("Every choice shows the same areas today: they stand out clearly."),
  place: ({ block_code, rows, positions }: Pick<WeakArea, "block_code" | "rows" | "positions">) =>
    t("{block}: {rows}, {positions}", { block: block_code, rows: rowSpan(rows), positions: stretch(...positions) }),
  crews: t("Pruned by"),
  crewLine: (crew: string, faulty: number, checked: number) => t("{crew}: {faulty} of {checked} faulty", { crew, faulty: count(faulty), checked: count(checked) }),
  points: t("Not met"),
  pointLine: (sentence: string, failed: number) => t("{trees}: {sentence}", { trees: trees(failed), sentence }),
  recheck: (faulty: number, checked: number) => t("Looked at again: {faulty} of {trees} faulty.", { faulty: count(faulty), trees: trees(checked) }),
  hasReturn: t("A return is made for it."),
  seeReturns: t("See the returns"),
  showMap: t("Show on the map"),
  map: t("Map of the block"),
} as const;

export const STANDING: Record<Standing, string> = {
  as_others: t("as others"),
  more_faulty: t("more faulty than chance explains"),
  fewer_faulty: t("fewer faulty than chance explains"),
  too_few_checks: t("too few checks to say"),
};

export const CREWS = {
  lead: t("Each point is a crew. Within the funnel, chance alone explains the difference; so crews are not ranked."),
  fair: t("The chart takes shares as on the farm's own mix of blocks, so that no crew is blamed for bad blocks. The table says them beside what was counted."),
  /** The answer, before how it was come by; nothing where no crew has checks enough. */
  answer: (crews: readonly { crew: string; standing: Standing }[]) => {
    const names = (standing: Standing): string => crews.filter((one) => one.standing === standing).map(({ crew }) => crew).join(", ");
    const [more, fewer, alike] = [names("more_faulty"), names("fewer_faulty"), names("as_others")];
    if (more === "" && fewer === "") return alike === "" ? "" : t("No crew stands out: chance alone explains the differences.");
    return [
      more === "" ? "" : t("More faulty trees than chance explains: {crews}.", { crews: more }),
      fewer === "" ? "" : t("Fewer faulty trees than chance explains: {crews}.", { crews: fewer }),
    ].filter((part) => part !== "").join(" ");
  },
  none: t("No tree of any crew is checked yet."),
  alone: t("No crew can be held against another one yet: for that, two crews must have been checked in one block, variety or habit."),
  chart: t("Crews in the funnel"),
  alt: t("A funnel that narrows to the right: the more trees of a crew are checked, the nearer its share must lie to the farm's. The table below has the same numbers in its column of the farm's mix."),
  across: t("Trees checked"),
  up: t("Faulty trees, in 100"),
  key: {
    near: t("19 times in 20 a crew like all others lies between these lines"),
    far: t("998 times in 1,000 between these"),
    middle: (share: string) => t("all crews: {share}", { share }),
  },
  point: (crew: string, checked: number, share: string) => t("{crew}: {trees} checked, {share} faulty", { crew, trees: trees(checked), share }),
  table: t("Crews in the order of their names"),
  columns: {
    crew: t("Crew"),
    checked: t("Checked"),
    faulty: t("Faulty"),
    expected: t("Expected in its blocks"),
    share: t("Share of those checked, likely"),
    fair: t("Share on the farm's mix, as in the chart"),
    standing: t("Against the others"),
  },
  leftOut: (n: number) => tn("and {n} with nobody to compare", "and {n} with nobody to compare", n),
  span: (low: number, high: number) => t("{low} to {high}", { low: measure(100 * low), high: inHundred(high) }),
  shareSpan: (share: number, span: string) => t("{share}, likely {span}", { share: inHundred(share), span }),
  expected: (trees_: number) => measure(trees_),
  byPoint: t("By point of the brief"),
  byHabit: t("By bearing habit"),
  partColumns: { part: t("Point"), habit: t("Habit") },
  partOf: (failed: number, checked: number) => t("{failed} of {checked}", { failed: count(failed), checked: count(checked) }),
  notChecked: t("not checked"),
  habit: (habit: string) => (habit in HABIT ? HABIT[habit as keyof typeof HABIT] : habit),
} as const;

export const AUDITORS = {
  lead: t("Some trees of a lot are looked at by a second auditor who does not see the first verdict. Here is how far they agree."),
  none: t("No tree has two looks yet. On the screen of checks a lot's tree can be looked at a second time, by another auditor."),
  pair: (first: string, second: string) => t("{first} and {second}", { first, second }),
  table: (first: string, second: string) => t("Trees by the verdict of {first} (down) and {second} (across)", { first, second }),
  points: t("Points they answered differently"),
  pointColumns: { point: t("Point"), differ: t("Answered differently") },
  differ: (differ: number, n: number) => t("{differ} of {trees}", { differ: count(differ), trees: trees(n) }),
  noDiffer: t("No point was answered differently."),
} as const;

