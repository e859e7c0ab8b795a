/** The sentences of the set-up screen. */

import { blocks, rows, trees } from "./counted";
import { t, tn } from "./language";
import { count, hectares, measure } from "./numbers";

export const SET_UP = {
  title: t("Set-up"),
  newFarm: t("A new farm"),
  noFarm: t("No farm here yet. Name it, and the rest follows: a season, a crew, the blocks."),
  farm: t("Farm"),
  farmName: t("Name of the farm"),
  timeZone: t("Time zone"),
  timeZoneHint: t("Begin to type and pick from the list. The day worked is a day of this zone."),
  timeZoneUnknown: t("This device knows no such time zone; pick one from the list."),
  makeFarm: t("Make the farm"),
  season: t("Season"),
  seasonNone: t("No season yet. Marks belong to a season."),
  seasonName: t("Name"),
  opensOn: t("Opens on"),
  mustFinishOn: t("Must finish on"),
  makeSeason: t("Open the season"),
  another: { season: t("Another season"), crew: t("Another crew"), person: t("Another person"), variety: t("Another variety") },
  correct: t("Correct"),
  correctOf: (line: string) => t("Correct {line}", { line }),
  saveCorrection: t("Save"),
  leaveAsItIs: t("Leave it as it is"),
  seasonLine: (name: string, from: string, to: string) => t("{name}: {from} to {to}", { name, from, to }),
  crews: t("Crews"),
  crewsNone: t("No crew yet."),
  crewName: t("Name of the crew"),
  method: t("Method"),
  makeCrew: t("Add the crew"),
  people: t("People, optional"),
  peopleNone: t("Nobody yet. Auditors are named here; crews work without."),
  personName: t("Name"),
  role: t("Role"),
  ofCrew: t("Crew"),
  noCrew: t("no crew"),
  makePerson: t("Add the person"),
  varieties: t("Varieties, optional"),
  varietiesNone: t("No variety yet. A block can be loaded without."),
  varietyName: t("Name of the variety"),
  habit: t("Bearing habit"),
  makeVariety: t("Add the variety"),
  added: (name: string) => t("Added: {name}.", { name }),
  winter: (year: number) => t("Winter {years}", { years: `${year}/${String((year + 1) % 100).padStart(2, "0")}` }),
  folded: (season: string, crews: number) =>
    tn("Season, crews, people, varieties: {season}, {n} crew", "Season, crews, people, varieties: {season}, {n} crews", crews, { season }),
  needsName: t("Give it a name."),
  needsDay: t("Give a day."),
  finishBeforeOpen: t("Give a must-finish date after the opening date."),
} as const;

const rowsAndTrees = (ofRows: number, ofTrees: number): string =>
  t("{rows}, {trees}", { rows: rows(ofRows), trees: trees(ofTrees) });

const MOST_NAMED = 6;

/** Return codes in a row; of many the first ones and how many more. */
function someOf(codes: readonly string[]): string {
  const named = codes.slice(0, MOST_NAMED).join(", ");
  return codes.length <= MOST_NAMED ? named : t("{codes} and {n} more", { codes: named, n: codes.length - MOST_NAMED });
}

export const IMPORT = {
  title: t("Load blocks from a file"),
  steps: t("Drop a file, answer what it cannot say, see rows and trees, take them."),
  drop: t("Drop a file here"),
  choose: t("Choose a file"),
  formats:
    t("GeoJSON, GeoPackage, zipped Shapefile or file geodatabase, FlatGeobuf, DXF, KML or KMZ, GPX, CSV with WKT or latitude and longitude."),
  reading: (name: string) => t("Reading {name}…", { name }),
  otherFile: t("Another file"),
  answer: t("The file does not say:"),
  otherCrs: t("Another coordinate system"),
  otherCrsHint: t("As EPSG: and its number; it goes before the choice above."),
  read: t("Read it so"),
  plan: t("Plan of the file"),
  north: t("N"),
  scale: (m: number) => (m >= 1000 ? t("{length} km", { length: measure(m / 1000) }) : t("{length} m", { length: count(m) })),
  blocks: (n: number) => t("Blocks of the file: {n}", { n }),
  ofAll: (note: string, n: number) => tn("For the block: {note}", "For each of the {n} blocks: {note}", n, { note }),
  surveyedRows: t("Surveyed rows"),
  surveyedNote: (n: number) =>
    t("{n} surveyed rows of the file are used as they are; the row spacing is only noted.", { n }),
  noBlocks: t("The file holds no outline of a block."),
  take: t("take"),
  takeAllOf: (n: number) => tn("Take the {n} block", "Take all {n} blocks", n),
  leaveAllOf: (n: number) => tn("Leave out the {n} block", "Leave out all {n} blocks", n),
  takeShown: (n: number) => tn("Take the {n} shown", "Take the {n} shown", n),
  leaveShown: (n: number) => tn("Leave out the {n} shown", "Leave out the {n} shown", n),
  find: t("Find blocks"),
  findHint: t("By code, name, or what the file says of them."),
  noneFound: t("No block of the file has these words."),
  areaOf: (area_ha: number) => t("{area} ha", { area: hectares(area_ha) }),
  look: t("look at its rows"),
  toLook: (codes: readonly string[]) =>
    tn("{n} block to look at: {codes}.", "{n} blocks to look at: {codes}.", codes.length, { codes: someOf(codes) }),
  upon: (code: string) => t("Lies upon block {code} of the farm: it is taken only if you tick it.", { code }),
  toOutline: t("Headland 0: the rows run to the outline."),
  farAway: (codes: readonly string[], km: number, ofFarm: boolean) =>
    ofFarm
      ? tn("This block lies {km} km from the farm's others: {codes}.", "These blocks lie {km} km from the farm's others: {codes}.", codes.length, { km: count(km), codes: someOf(codes) })
      : tn("This block lies {km} km from the others of the file: {codes}.", "These blocks lie {km} km from the others of the file: {codes}.", codes.length, { km: count(km), codes: someOf(codes) }),
  farApart: (codes: readonly string[]) =>
    tn("This block lies over 100 km from the others that are taken: {codes}.", "These blocks lie over 100 km from the others that are taken: {codes}.", codes.length, { codes: someOf(codes) }),
  farMore: (n: number) => tn("{n} more place lies far off too.", "{n} more places lie far off too.", n),
  farMeant: t("Take into this farm all the same"),
  farElse: t("What belongs to another farm is left out here, and loaded there."),
  farOpen: t("Say above whether the far blocks belong to this farm."),
  leave: t("leave out"),
  code: t("Code"),
  codeHint: t("Short; it stands on the map."),
  name: t("Name"),
  nameHint: t("Empty: it is called by its code."),
  variety: t("Variety"),
  noVariety: t("not said"),
  rowSpacing: t("Row spacing, m"),
  treeSpacing: t("Tree to tree in the row, m"),
  endOffset: t("End offset, m"),
  endOffsetHint: t("From the row's end to its first tree."),
  firstRowOffset: t("First-row offset, m"),
  firstRowOffsetHint: t("From the block's edge to row 1; empty is half a row."),
  headland: t("Headland, m"),
  headlandHint: t("Turning room at each row's end. 0: rows run to the outline."),
  formTitle: (code: string, area_ha: number) => t("Block {code}, {area} ha", { code, area: hectares(area_ha) }),
  formTitleOfRows: (code: string) => t("Block {code}, of surveyed rows", { code }),
  needs: (what: readonly string[]) => t("Still needs: {what}.", { what: what.join(", ") }),
  needed: { row_spacing_m: t("row spacing"), tree_spacing_m: t("tree to tree"), bearing_deg: t("a bearing") },
  unusable: t("A number that is typed cannot be used: look at the fields."),
  more: t("More: end offset, first-row offset"),
  nearer: t("Nearer"),
  farther: t("Farther"),
  wholeBlock: t("Whole block"),
  wholeFile: t("Show all blocks of the file"),
  bearing: t("Bearing of rows, degrees"),
  bearingHint: t("Clockwise from north. It cannot be guessed safely: best click two points along the first row."),
  twoPoints: t("Click two points along row 1"),
  firstPoint: t("Click the first end of row 1 on the plan: where position 1 is. Row 1 is the outermost row, on either side of the block."),
  secondPoint: t("Now click the other end of row 1. The other rows follow from it across the block."),
  pointsSet: (deg: number) => t("Row 1 is set by two points ({angle} degrees).", { angle: measure(deg) }),
  dropPoints: t("Drop the two points"),
  stopPoints: t("Stop clicking"),
  applyToAll: t("Use these numbers for all blocks"),
  applied: (n: number) => t("Used for {blocks}; each keeps its own code, name and clicked row 1.", { blocks: blocks(n) }),
  appliedBearing: (source: "clicked" | "suggested" | "typed" | "none", deg: number): string => {
    switch (source) {
      case "clicked":
        return t(
          "Row 1 as clicked belongs to this block alone: the rows of the others run along or across their own longest edge, whichever is nearer to {angle} degrees. Look at each of them, or click its row 1.",
          { angle: measure(deg) },
        );
      case "suggested":
        return t("The bearing of each goes by its own edges.");
      case "typed":
        return t("All run at the bearing that is typed here.");
      case "none":
        return "";
    }
  },
  appliedBare: (n: number) => tn("{n} block still needs a bearing.", "{n} blocks still need a bearing.", n),
  mustBeNumber: t("Give a number."),
  mustBePositive: t("Give a number over 0."),
  mustNotBeNegative: t("Give 0 or more."),
  mustHaveCode: t("Give a code."),
  sameCode: t("Two blocks have this code."),
  bearingRange: t("Give 0 to 359.9 degrees."),
  result: rowsAndTrees,
  perHa: (real: number | null, textbook: number | null) =>
    real === null || textbook === null
      ? ""
      : t("{real} trees/ha by rows; the textbook figure, area by spacings, says {textbook}.", {
          real: count(real),
          textbook: count(textbook),
        }),
  length: (m: number) => t("{length} m of row.", { length: count(m) }),
  planning: t("Working out rows…"),
  needsBearing: t("Needs a bearing: two points along row 1, or a suggestion."),
  total: (n: number, ofRows: number, ofTrees: number) =>
    t("{blocks}, {rowsAndTrees}.", { blocks: blocks(n), rowsAndTrees: rowsAndTrees(ofRows, ofTrees) }),
  takeAll: t("Take these blocks"),
  notReady: (codes: readonly string[]) =>
    tn("{n} block needs answers ({codes}): give them, or leave it out.", "{n} blocks need answers ({codes}): give them, or leave them out.", codes.length, { codes: someOf(codes) }),
  taking: t("Taking…"),
  taken: t("Taken"),
  takenLine: (code: string, ofRows: number, ofTrees: number) => `${code}: ${rowsAndTrees(ofRows, ofTrees)}`,
  leftOut: t("Left out"),
  toRows: t("Go to Rows"),
} as const;
