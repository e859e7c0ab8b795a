/** The sentences of the adviser's screens: briefs by variety, new brief, editor, publish, compare. */

import type { BearingHabit, BudTarget, PointClass, PointKind, PointUnit, TrainingSystem } from "./brief-contracts";
import type { CalcKey } from "./brief-calc";
import { language, t, tn } from "./language";
import { count } from "./numbers";

export const BEARING: Record<BearingHabit, string> = {
  tip_renewed: t("Tip bearer, renewed every year"),
  tip_alternating: t("Tip bearer that tends to bear every other year"),
  spur_renewed: t("Spur bearer, fruiting units renewed"),
  spur_long_lived: t("Spur bearer, long-lived spurs"),
  spur_uncut: t("Spur bearer, not cut back"),
};
/** What each ready-made brief comes to, in a sentence. */
export const BEARING_MEANS: Record<BearingHabit, string> = {
  tip_renewed: t("Short shoots with a fruit bud at the tip stay whole; every limb gets a few renewal cuts, and what has borne is shortened."),
  tip_alternating: t("Short shoots with a fruit bud at the tip stay whole; no cut into two-year wood with spurs; a unit that is too old or too thick goes whole."),
  spur_renewed: t("Fruiting units are shortened to a good fruit bud; a unit bears a few crops and then goes; short shoots stay to form spurs."),
  spur_long_lived: t("Light first: strong uprights go; units with spurs are left alone, and few are renewed."),
  spur_uncut: t("Thick limbs in the way go; no cut into spurred wood of two years and older."),
};
export const SYSTEM: Record<TrainingSystem, string> = {
  axis: t("Central axis"),
  tall_spindle: t("Tall spindle"),
  slender_spindle: t("Slender spindle"),
  v_trellis: t("V trellis"),
};
export const KIND: Record<PointKind, string> = {
  yes_no: t("Yes or no"),
  count: t("A number in a range"),
  ratio: t("A share at most"),
  at_least: t("A length or diameter, at least"),
  at_most: t("A length or diameter, at most"),
  angle: t("An angle in a range"),
};
export const POINT_CLASS: Record<PointClass, string> = { critical: t("critical"), major: t("major"), minor: t("minor") };
export const UNIT: Record<PointUnit, string> = {
  "": t("no unit"),
  limbs: t("limbs"),
  buds: t("buds"),
  cuts: t("cuts"),
  cm: t("cm"),
  deg: t("degrees from straight up"),
};
export const TARGET_PART: Record<keyof BudTarget, string> = {
  fruit_per_tree: t("Apples on the tree"),
  buds_per_tree: t("Buds on the tree"),
  buds_per_limb: t("Buds on each limb"),
  limbs_per_tree: t("Limbs on the tree"),
};
const LANGUAGE: Readonly<Record<string, string>> = { en: t("English"), es: t("Spanish") };
/** Return a language's name; one that nobody knows goes by its code. */
export function languageWord(code: string): string {
  try {
    return LANGUAGE[code] ?? new Intl.DisplayNames([language()], { type: "language" }).of(code) ?? code;
  } catch {
    return code; // no code at all, as an older draft may hold
  }
}

export const BRIEFS = {
  title: t("Briefs"),
  season: (season: string) => t("Season {season}. A brief says what a variety needs; crews prune by it, and checks are judged by it.", { season }),
  noSeason: t("There is no season yet, and a brief is for a season. A manager opens one in Set-up."),
  noVarieties: t("No variety yet. Add the first one below: its brief starts from how it bears."),
  needed: t("Without a brief"),
  unpublished: t("Written, but not published: crews have no brief"),
  there: t("With a brief"),
  allThere: t("Every variety has a brief that is published."),
  habit: (habit: string) => t("Habit: {habit}.", { habit }),
  habitSource: t("Source:"),
  noSource: t("none named."),
  changeHabit: t("Change the habit"),
  changeHabitOf: (name: string) => t("Change the habit: {name}", { name }),
  saveHabit: t("Save the habit"),
  habitSaved: (name: string) => t("The habit of {name} is saved. Briefs that are written stay as they are.", { name }),
  none: t("No brief yet."),
  draft: t("Draft, not published."),
  version: (version: number, day: string, name: string) =>
    name === "" ? t("Version {version} of {day}.", { version, day }) : t("Version {version} of {day} by {name}.", { version, day, name }),
  changedSince: (version: number, day: string, name: string) =>
    name === ""
      ? t("Version {version} of {day}; the draft has changed since.", { version, day })
      : t("Version {version} of {day} by {name}; the draft has changed since.", { version, day, name }),
  noBlocks: t("No block is planted with it yet."),
  blocks: (codes: string, trees: number) => tn("Blocks {codes}: {trees} tree.", "Blocks {codes}: {trees} trees.", trees, { codes, trees: count(trees) }),
  bare: (code: string) => t("Block {code}", { code }),
  bareWhy: t("No variety is named for this block, so no variety's brief holds for it. Make it one of its own, or name its variety in Set-up."),
  make: t("Make its brief"),
  makeFor: (name: string) => t("Make its brief: {name}", { name }),
  open: t("Open"),
  openFor: (name: string) => t("Open the brief: {name}", { name }),
  gone: t("There is no such brief on this farm. If it is of another of your farms, choose that one at the top."),
  ownFor: t("A brief for one block"),
  ownWhy: t("One block may differ from the rest of its variety: its own brief then goes before the variety's."),
  pickBlock: t("Block"),
  takeOver: (season: string) => t("Take over the briefs of {season}", { season }),
  takeOverWhy: t("Makes a draft of every brief of that season; what is there already stays."),
  tookOver: (n: number) => tn("{n} draft made. Look at it, then publish it.", "{n} drafts made. Look at them, then publish them.", n),
  tookNone: t("Every brief of that season is here already."),
} as const;

export const NEW_VARIETY = {
  title: t("New variety"),
  name: t("Name of the variety"),
  hint: t("Known heritage varieties are suggested, with how they bear and who says so."),
  needsName: t("Type the name of the variety."),
  habit: t("Bearing habit"),
  source: t("Who says so"),
  sourceHint: t("Book, nursery or page; leave it empty if nobody does."),
  add: t("Add the variety"),
  added: (name: string) => t("{name} is added. Make its brief next.", { name }),
  doubt: {
    weak: t("The source is a list by nobody named: look at the trees."),
    disputed: t("Another list says otherwise: look at the trees."),
  },
} as const;

export const NEW_BRIEF = {
  title: (name: string) => t("New brief: {name}", { name }),
  forBlock: (code: string) => t("block {code}", { code }),
  lead: t("Start from how the variety bears. Every point can be changed afterwards, and nothing reaches a crew before it is published."),
  suiting: t("Suits the habit that is known of it"),
  others: t("Other habits"),
  habits: t("Habits to start from"),
  heavy: t("Sets heavily: thin the spurs to the bud target as well"),
  system: t("How the trees are trained"),
  systemHint: t("Decides how many limbs stay on the tree."),
  start: t("Start from this"),
  startFor: (habit: string) => t("Start from this: {habit}", { habit }),
  copy: t("Or from a brief that is there already"),
  copyFarm: t("Farm"),
  copyBrief: t("Brief"),
  copyNone: t("There is no brief to copy on this farm this season."),
  copyRun: t("Copy this brief"),
  back: t("Back to the briefs"),
  gone: t("This variety or block is not on this farm. Go back to the briefs."),
} as const;

export const EDITOR = {
  title: (name: string) => t("Brief: {name}", { name }),
  back: t("All briefs"),
  edit: t("Edit"),
  card: t("Card"),
  parts: t("Editor or card"),
  unsaved: t("Not saved yet…"),
  saving: t("Saving…"),
  saved: t("All is saved."),
  heldNone: t("Crews have no brief before this one is published."),
  heldSame: (version: number) => t("Crews go by version {version}, which says the same.", { version }),
  heldOther: (version: number) => t("Crews still go by version {version}: publish to change that.", { version }),
  waiting: t("Not saved: the service does not answer. Your text is kept in this browser, and is tried again by itself."),
  refused: (why: string) => t("Not saved. Your text is kept in this browser. {why}", { why }),
  behind: (name: string) =>
    name === ""
      ? t("Somebody, or you in another window, saved this brief meanwhile. What you wrote stays here: keep it, or drop it.")
      : t("{name} saved this brief meanwhile, in another window. What you wrote stays here: keep it, or drop it.", { name }),
  takenUp: t("What you wrote here last time was not saved then. It is on this page now."),
  openOther: t("See the saved one in another window"),
  keepMine: t("Save mine over it"),
  takeOther: t("Drop mine, show the saved one"),
  problems: (n: number) => tn("{n} thing to mend before it can be published", "{n} things to mend before it can be published", n),
  at: (place: string, what: string) => t("{place}: {what}", { place, what }),
  points: t("Points, in the order of work"),
  point: (n: number) => t("Point {n}", { n }),
  noPoints: t("No point yet. Add the first one below."),
  up: t("Up"),
  down: t("Down"),
  upFor: (n: number) => t("Move point {n} up", { n }),
  downFor: (n: number) => t("Move point {n} down", { n }),
  change: t("Change"),
  close: t("Close"),
  changeFor: (n: number) => t("Change point {n}", { n }),
  closeFor: (n: number) => t("Close point {n}", { n }),
  remove: t("Take out"),
  removeFor: (n: number) => t("Take out point {n}", { n }),
  removed: (n: number, sentence: string) => t("Point {n} is out: {sentence}", { n, sentence }),
  putBack: t("Put it back"),
  movedTo: (n: number, all: number) => t("Now point {n} of {all}.", { n, all }),
  unwritten: t("Nothing is written yet."),
  checked: t("checked"),
  taught: t("taught, not checked"),
  habit: (habit: string, isHeavy: boolean) => (isHeavy ? t("{habit}; sets heavily.", { habit }) : t("{habit}.", { habit })),
} as const;

export const POINT = {
  sentence: (language: string) => t("Sentence in {language}", { language }),
  sentenceHint: t("In braces the limits are filled in: {low}, {high}, or {range} for both."),
  kind: t("What is found on a tree"),
  low: t("At least"),
  high: t("At most"),
  highShare: t("At most, in percent"),
  unit: t("Unit"),
  pointClass: t("How much it weighs"),
  isChecked: t("Checked by auditors"),
  source: t("Source of the number or the rule"),
  sourceHint: t("Who published it; else: common practice"),
  long: t("Long for a card: people with cold hands read two lines. Say the rest in the row."),
  noNumber: t("This is no number, so the last one stays. Enter a number, such as 18 or 2.5; thousands without a sign."),
  picture: t("Picture"),
  pickPicture: t("Choose another picture"),
  picked: (name: string) => t("Picture: {name}", { name }),
  add: t("Add a point"),
  addThis: t("Add"),
  addFor: (sentence: string) => t("Add the point: {sentence}", { sentence }),
  own: t("A point of your own"),
  addOwn: t("Add it"),
  addExtra: t("Points that other briefs have"),
  needsSentence: t("Write what the pruner is to do."),
  added: (n: number) => t("Added as point {n}. Give it its picture and limits.", { n }),
} as const;

export const REST = {
  habit: t("Habit, as the card says it"),
  bearing: t("Bearing habit"),
  heavy: t("Sets heavily"),
  cautions: t("Cautions"),
  cautionsLead: t("They stand on the card, below the points. Local law, the product label and licensed practice decide."),
  always: t("always shown"),
  notes: t("Notes for the crew"),
  note: (language: string) => t("Note in {language}", { language }),
} as const;

export const TARGET = {
  title: t("Bud target"),
  lead: t("What to leave on an average tree. Leave empty what nobody has worked out."),
  noNumber: t("This is no number, so the last one stays. Enter a number above zero, thousands without a sign, or clear it."),
  notWhole: t("Limbs are whole. Enter a whole number, or clear it."),
  calc: t("Work it out from the yield goal"),
  units: t("Measures"),
  unitsOf: { metric: t("Tonnes and hectares"), acres: t("Bushels and acres") },
  density: t("How the trees stand"),
  densityOf: { trees: t("Trees on the area"), spacings: t("Spacings") },
  allowance: t("Allowance for buds that fail"),
  allowanceOf: { insurance_factor: t("Buds for each apple wanted"), floral_share: t("Share of buds that flower") },
  run: t("Work it out"),
  use: t("Use these"),
  used: t("The target is taken over."),
  missing: t("Enter a number above zero, thousands without a sign."),
  missingShare: t("Enter a number above zero, 100 at most."),
  odd: (buds: string, limbs: string, each: string) =>
    t("{buds} buds shared out on {limbs} limbs are {each} on each limb: one of the three is another number.", { buds, limbs, each }),
  mayBeEmpty: t("May stay empty."),
  perTree: (fruit: string) => t("That is {fruit} apples on an average tree.", { fruit }),
  goal: {
    metric: (goal: string, mass: string) => t("Goal: {goal} t/ha of apples of {mass} g.", { goal, mass }),
    acres: (goal: string, mass: string) => t("Goal: {goal} bushels an acre, {mass} apples a bushel.", { goal, mass }),
  },
  byFactor: (factor: string, buds: string) => t("With {factor} buds for each apple: leave {buds} buds on the tree.", { factor, buds }),
  byShare: (share: string, buds: string) => t("With {share} % of the buds flowering: leave {buds} buds on the tree.", { share, buds }),
  perLimb: (limbs: string, buds: string) => t("On {limbs} limbs: {buds} buds on each limb.", { limbs, buds }),
} as const;

export const CALC_FIELD: Record<CalcKey, string> = {
  yield_t_per_ha: t("Yield goal, t/ha"),
  fruit_mass_g: t("Mass of an apple, g"),
  trees_per_ha: t("Trees per hectare"),
  row_spacing_m: t("Between rows, m"),
  tree_spacing_m: t("Between trees in the row, m"),
  yield_bu_per_acre: t("Yield goal, bushels an acre"),
  fruit_per_bushel: t("Apples in a bushel"),
  trees_per_acre: t("Trees per acre"),
  row_spacing_ft: t("Between rows, ft"),
  tree_spacing_ft: t("Between trees in the row, ft"),
  limbs_per_tree: t("Limbs on each tree"),
  insurance_factor: t("Buds for each apple"),
  floral_share: t("Buds that flower, in percent"),
};

export const PREVIEW = {
  title: t("The card as the crew gets it"),
  language: t("Language"),
  size: t("Paper"),
  a4: t("A4, to hang up"),
  a5: t("A5, to carry"),
  frame: t("Brief card"),
  making: t("Drawing the card…"),
} as const;

export const PUBLISH = {
  publish: t("Publish…"),
  first: t("This is the first version. From then on crews, checks and paper go by it."),
  against: (version: number) => t("What changes against version {version}", { version }),
  same: (version: number) => t("The draft says the same as version {version}: there is nothing to publish.", { version }),
  mend: t("Some things are to be mended first; they are listed above the points."),
  stale: t("Somebody, or you in another window, saved this brief since it was opened here, so this page shows an older draft."),
  showSaved: t("Show the saved one"),
  notSaved: t("The draft is not saved yet, so it cannot be published. See the line above."),
  old: t("Checks made before keep the version that they were judged by."),
  yes: (version: number) => t("Publish version {version}", { version }),
  notYet: t("Not yet"),
  done: (version: number) => t("Version {version} is published: it holds from now on.", { version }),
  print: t("Print the card"),
  printBlock: t("For"),
  printBlockHint: t("A card for one block names its power lines and slopes too."),
  allBlocks: t("all blocks"),
  printDraft: t("The draft"),
  printVersion: (version: number) => t("Version {version}", { version }),
  sheet: (size: string, language: string) => t("{size}, {language}", { size, language }),
} as const;

export const COMPARE = {
  title: (name: string) => t("Compare versions: {name}", { name }),
  open: t("Compare versions"),
  from: t("What was"),
  to: t("What is"),
  draft: t("The draft"),
  version: (version: number, day: string) => t("Version {version} of {day}", { version, day }),
  none: t("Nothing was published yet, so there is nothing to compare. Publish the draft first."),
  same: t("They say the same."),
  back: t("Back to the brief"),
  whole: t("The whole brief"),
  what: t("What"),
  added: t("new point"),
  removed: t("taken out"),
  nothing: t("nothing"),
  place: t("Place in the order"),
  sentence: (language: string) => t("Sentence in {language}", { language }),
  note: (language: string) => t("Note in {language}", { language }),
  part: {
    kind: t("What is found on a tree"),
    low: t("At least"),
    high: t("At most"),
    unit: t("Unit"),
    point_class: t("How much it weighs"),
    is_checked: t("Checked or taught"),
    picture: t("Picture"),
    source: t("Source"),
    habit: t("Bearing habit"),
    is_heavy_setter: t("Sets heavily"),
    cautions: t("Cautions"),
    bud_target: t("Bud target"),
  },
  yes: t("yes"),
  no: t("no"),
} as const;

/** Drawings by what they show; a newer service may have more. */
const PICTURE: Readonly<Record<string, string>> = {
  "bud-count": t("number of buds"),
  "bud-kinds": t("bud kinds"),
  "crack-upright": t("cracked upright"),
  "dead-wood": t("dead wood"),
  "fork-out": t("fork cut out"),
  "leaf-cover": t("leaf cover"),
  "light-well": t("light well"),
  "limb-angle": t("limb angle"),
  "limb-count": t("number of limbs"),
  "limb-gap": t("gap between limbs"),
  "limb-over-half": t("limb over half"),
  "limb-over-two-thirds": t("limb over two thirds"),
  "no-cut-spurred-two-year": t("no cut into spurred two-year wood"),
  "no-stub": t("no stub"),
  "one-leader": t("one leader"),
  "renewal-cuts": t("renewal cuts"),
  "renewal-stub": t("slanting stub"),
  "secondary-simple": t("limb of a single line"),
  "short-shoot-stays": t("short shoot stays"),
  "shorten-borne": t("shortened after bearing"),
  "shorten-to-fruit-bud": t("shortened to a fruit bud"),
  "strong-upright-years": t("strong upright of one and two years"),
  "thick-limb-out": t("thick limb cut out"),
  "thin-spurs": t("thinned spurs"),
  "tip-shoot-whole": t("shoot with a tip bud left whole"),
  "unit-after-crops": t("unit after some crops"),
  "unit-too-old": t("unit too old"),
  "upright-out": t("upright cut out"),
};
const CAUTION: Readonly<Record<string, string>> = {
  ladder: t("ladders"),
  "powered-tools": t("powered tools"),
  eyes: t("eyes"),
  "overhead-lines": t("overhead lines"),
  "cold-and-wet": t("cold and wet"),
  "working-alone": t("working alone"),
  "spray-reentry": t("re-entry after spraying"),
  slope: t("slope"),
  closure: t("closed block"),
};

const nameIn = (names: Readonly<Record<string, string>>, key: string): string => names[key] ?? key.replaceAll("-", " ");
/** Return a drawing's name as people read it. */
export const pictureWord = (name: string): string => nameIn(PICTURE, name);
/** Return a caution's name as people read it. */
export const cautionWord = (key: string): string => nameIn(CAUTION, key);

/** Where something is to be mended that is the whole brief's, by the part that the service names. */
export const PROBLEM_PART: Readonly<Record<string, string>> = {
  points: EDITOR.points,
  notes: REST.notes,
  bud_target: TARGET.title,
  cautions: REST.cautions,
};
