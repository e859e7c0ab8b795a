/** The sentences of the page that edits the ground. */

import { t, tn } from "./language";
import { count, hectares, measure, percent } from "./numbers";
import type { RowProblemCode } from "./ground-contracts";
import type { Place } from "./ground-rows";

type Why = Exclude<RowProblemCode, "places_lost" | "no_tree" | "first_end">;
const WHY: Record<Why, (position: number) => string> = {
  leaves: () => t("What was worked in cannot leave: not possible."),
  renumbered: () => t("Number and block stay: not possible."),
  turned: () => t("The first end stays: not possible."),
  cut: (position) => t("They reach to tree {n}, and those trees cannot go to another row: not possible.", { n: position }),
  number_used: () => t("No row of that number is there now, so other trees cannot take it: choose another number."),
  beyond: (position) => t("The row would end at tree {n}: what lies beyond will not count.", { n: position }),
};
const NAMED = {
  brief: t("a brief of its own"),
  closure: t("a closure"),
  lot: t("a lot"),
  return: t("a return"),
};

export const GROUND = {
  title: (code: string) => t("Ground of block {code}", { code }),
  back: t("Back to Set-up"),
  blocks: t("Blocks that are there"),
  blocksHelp: t("Open one to correct its rows, count trees, mark blanks and pollinizers, cut, join or survey it again."),
  blocksNone: t("No block yet. Load a file, or draw the first one."),
  edit: (code: string) => t("Edit {code}", { code }),
  draw: t("Draw a block"),
  loading: t("Reading the ground…"),
  blockFacts: (n: number, trees: string, area_ha: number) =>
    tn("{n} row, {trees}, {area} ha.", "{n} rows, {trees}, {area} ha.", n, { trees, area: hectares(area_ha) }),
  help: t("Tap a row on the plan or in the list. Every edit is tried at once and only taken when you say so."),
  // the plan
  plan: t("Plan of the block"),
  wholeBlock: t("Whole block"),
  // the rows
  rows: t("Rows"),
  rowButton: (row: number, trees: string) => t("Row {row}: {trees}", { row, trees }),
  hasMarks: t("work is recorded"),
  pick: (row: number) => t("Choose row {row}", { row }),
  chosen: (rows: string) => t("Chosen: {rows}", { rows }),
  noneChosen: t("No row chosen yet."),
  chooseAll: t("Choose all"),
  chooseNone: t("Choose none"),
  rowTitle: (row: number) => t("Row {row}", { row }),
  rowFacts: (trees: string, positions: number, length_m: number) =>
    t("{trees} on {positions} positions, {length} m.", { trees, positions, length: measure(length_m) }),
  recordedHere: (n: number) =>
    tn("{n} record of work is in this row: its number, first end and trees stay.", "{n} records of work are in this row: its number, first end and trees stay.", n),
  // places
  places: t("What stands where"),
  placesHelp: t("Tap a position: tree, blank, pollinizer. Arrow keys walk along the row, Enter turns."),
  place: (position: number, what: string) => t("Position {n}: {what}", { n: position, what }),
  kinds: { tree: t("tree"), blank: t("blank"), pollinizer: t("pollinizer") } satisfies Record<Place, string>,
  firstEnd: t("first end"),
  lastEnd: t("last end"),
  // counting
  counted: t("Positions counted in the row"),
  countedHint: (rule: number) => t("The spacing gives {n}; empty goes by it.", { n: count(rule) }),
  countedEach: t("Positions counted in each of them"),
  countedEachHint: t("Empty goes by the spacing."),
  count: t("Use this count"),
  look: t("Show it large on the plan"),
  mustBeWhole: t("Give a whole number from 0 to 10,000, or nothing."),
  // one row
  turn: t("Begin at the other end"),
  drop: t("Take away"),
  split: t("Cut the row"),
  splitAfter: t("Cut behind position"),
  splitDo: t("Cut here"),
  splitHint: t("The piece with the first end keeps the number."),
  join: (a: number, b: number) => t("Join {b} to the end of {a}", { a, b }),
  number: t("Number"),
  newNumber: t("New number"),
  numberDo: t("Give this number"),
  mustBeNumber: t("Give a whole number from 1."),
  move: t("Move or stretch the row"),
  east: t("To the east, m"),
  north: t("To the north, m"),
  longerFirst: t("Longer at the first end, m"),
  longerLast: t("Longer at the last end, m"),
  negative: t("Negative is the other way."),
  moveDo: t("Move it"),
  mustBeMetres: t("Give metres, such as 1.5."),
  dragHint: t("On the plan you can drag its two ends."),
  // several rows
  several: (rows: string) => t("{rows} chosen", { rows }),
  renumber: t("Number the chosen rows anew"),
  from: t("From number"),
  otherSide: t("Begin at the other side"),
  renumberDo: t("Number anew"),
  // adding
  add: t("Add a row"),
  addBeside: (row: number) => t("Add a row beside row {row}", { row }),
  right: t("To its right"),
  left: t("To its left"),
  drawRow: t("Draw a row on the plan"),
  rowFirstPoint: t("Tap the first end of the new row on the plan."),
  rowSecondPoint: t("Now tap its other end."),
  stop: t("Stop"),
  // the block
  block: t("The whole block"),
  shift: t("Move the block"),
  shiftDo: t("Move the block so"),
  cut: t("Cut the block in two"),
  cutCode: t("Code of the new block"),
  cutBetween: (a: number, b: number) => t("Between rows {a} and {b}", { a, b }),
  cutDraw: t("Along a line on the plan"),
  cutHelp: t("Choose two neighbouring rows and cut between them, or tap two points on the plan. Rows keep their numbers on both sides."),
  cutOtherSide: (code: string) => t("the side without the first row stays {code}", { code }),
  cutFirst: t("Tap one point of the line on the plan."),
  cutSecond: t("Now tap another point of it."),
  needsCode: t("Give the new block a code first."),
  joinBlock: t("Join another block to this one"),
  joinBlockHelp: t("Its rows get the numbers after this block's last one, and its code goes."),
  joinBlockWhich: t("Which block"),
  joinBlockDo: t("Join it"),
  outline: t("Outline"),
  outlineHelp: t("One corner a line: latitude, longitude in degrees. Or tap the corners on the plan."),
  outlineWhole: (parts: number, holes: number) =>
    [
      parts > 1 ? tn("This outline is {n} part.", "This outline is {n} parts.", parts) : "",
      holes > 0 ? tn("It has {n} hole.", "It has {n} holes.", holes) : "",
      t("Its corners cannot be edited here: what you draw or type below is one part without holes, and replaces all of it. To keep parts and holes, survey it again from a file."),
    ]
      .filter((part) => part !== "")
      .join(" "),
  corners: t("Corners"),
  outlineDraw: t("Tap corners on the plan"),
  outlineCorner: (n: number) => tn("{n} corner so far. Tap the next one, or finish.", "{n} corners so far. Tap the next one, or finish.", n),
  outlineFirst: t("Tap the first corner on the plan."),
  outlineFinish: t("Finish the outline"),
  outlineUndo: t("Take the last corner back"),
  outlineDo: t("Use this outline, rows stay"),
  outlineCrosses: t("The outline crosses itself, or has no area. Give its corners one after the other around the block."),
  cornersWrong: (line: number) => t("Line {n} is not a latitude and a longitude.", { n: line }),
  cornersFew: t("An outline needs three corners at least."),
  lay: t("Lay the rows anew"),
  layHelp: t("Rows that stand where one stood keep its number and what was counted; new ones take the next numbers."),
  layDo: t("Lay the rows so"),
  layOutline: t("with the corners above as outline"),
  bearingPoints: t("Tap two points along row 1"),
  bearingFirst: t("Tap the first end of row 1 on the plan."),
  bearingSecond: t("Now tap the other end of row 1."),
  survey: t("Survey it again from a file"),
  surveyHelp: t("A new outline, or rows as lines: they are matched to the rows that are here by place."),
  surveyWhich: t("Which part of the file is this block?"),
  surveyRows: (n: number) => tn("{n} surveyed row", "{n} surveyed rows", n),
  surveyDo: t("Compare it with what is here"),
  surveyNone: t("The file holds neither an outline nor rows that can be used."),
  surveyQuestions: t("The file leaves a question open that is not asked here. Name its coordinate system in the file, or send it as GeoJSON."),
  nameBlock: t("Code, name, variety"),
  nameBlockHelp: t("Labels that are printed already carry the old code: print them again after it changed."),
  nameBlockDo: t("Call it so"),
  calledNow: (before: string, after: string) => t("Block {before} is called {after} from now on.", { before, after }),
  varietyChanges: (code: string) => t("Block {code} has another variety, so perhaps another brief; where a rate goes by variety, what was pruned is paid by the other one too.", { code }),
  dropBlock: t("Take the block away"),
  // changes
  changes: t("What changes"),
  nothing: t("Nothing is changed yet."),
  working: t("Trying it…"),
  undo: t("Undo the last edit"),
  discard: t("Discard all"),
  readAnew: t("Read it anew, without these edits"),
  take: t("Take these changes"),
  taking: t("Taking…"),
  taken: t("Taken. Tablets fetch the block anew."),
  hindered: t("Something hinders it: undo that edit, then it can be taken."),
  lost: t("The edits that you had not taken are left out: the block was changed meanwhile."),
  gone: (code: string) => t("Block {code} would not be there any more.", { code }),
  edits: (n: number) => tn("{n} edit, not taken yet", "{n} edits, not taken yet", n),
  renumberWarning: t("A tablet that is out without a connection still shows the old numbers. What it marks there waits under To settle. Labels and sheets that are printed carry the old numbers too."),
  // the lines
  run: (from: number, to: number) => t("{from} to {to}", { from, to }),
  row: (block: string, row: number) => t("{block}, row {row}", { block, row }),
  rowsOf: (block: string, rows: string, n: number) => tn("{block}, row {rows}", "{block}, rows {rows}", n, { block, rows }),
  leave: (which: string, trees: string) => t("{which}: taken away ({trees}).", { which, trees }),
  areNew: (which: string, trees: string) => t("{which}: new ({trees}).", { which, trees }),
  renumbered: (which: string, numbers: string) => t("{which}: numbered {numbers}.", { which, numbers }),
  each: (which: string, what: string) => t("{which}: each {what}.", { which, what }),
  turned: t("begins at its other end"),
  treesChange: (before: number, after: string) => t("{before} to {after}", { before: count(before), after }),
  moreBlanks: (n: number) =>
    n > 0 ? tn("{n} blank more", "{n} blanks more", n) : tn("{n} blank fewer", "{n} blanks fewer", -n),
  morePollinizers: (n: number) =>
    n > 0 ? tn("{n} pollinizer more", "{n} pollinizers more", n) : tn("{n} pollinizer fewer", "{n} pollinizers fewer", -n),
  movedBy: (m: number) => t("moved by up to {length} m", { length: measure(m) }),
  redrawn: t("drawn a little differently"),
  becomes: (row: number) => t("becomes row {row}", { row }),
  goTo: (which: string, block: string, rows: string, n: number) =>
    tn("{which}: goes to block {block} as row {rows}.", "{which}: go to block {block} as rows {rows}.", n, { which, block, rows }),
  goesTo: (block: string, row: number) => t("goes to block {block} as row {row}", { block, row }),
  size: (rows: string, trees: string) => t("{rows}, {trees}", { rows, trees }),
  blockNew: (code: string, rows: string, trees: string) => t("Block {code} is new: {rows}, {trees}.", { code, rows, trees }),
  blockLeaves: (code: string, rows: string, trees: string) => t("Block {code} leaves: {rows}, {trees}.", { code, rows, trees }),
  blockChanges: (code: string, before: string, after: string) => t("Block {code}: {before}, becomes {after}.", { code, before, after }),
  blockSame: (code: string, size: string) => t("Block {code}: {size}, as before.", { code, size }),
  blockFactsOfRows: (n: number, trees: string) => tn("{n} row, {trees}; no outline.", "{n} rows, {trees}; no outline.", n, { trees }),
  area: (code: string, before: number, after: number) =>
    t("Block {code}: {before} ha, becomes {after} ha.", { code, before: hectares(before), after: hectares(after) }),
  recorded: (where: string, marks: number, others: number) =>
    [
      marks > 0 || others === 0 ? tn("{where}: {n} mark.", "{where}: {n} marks.", marks, { where }) : "",
      marks === 0 && others > 0 ? tn("{where}: {n} check or other record.", "{where}: {n} checks or other records.", others, { where }) : "",
      marks > 0 && others > 0 ? tn("{n} check or other record.", "{n} checks or other records.", others) : "",
    ]
      .filter((part) => part !== "")
      .join(" "),
  why: (code: Why, position: number) => WHY[code](position),
  noTree: (where: string, n: number) =>
    tn(
      "{where}: {n} check or counted tree is where no tree would be. A check still counts for its lot and crew; a counted tree leaves the mean.",
      "{where}: {n} checks or counted trees are where no tree would be. Checks still count for their lot and crew; counted trees leave the mean.",
      n,
      { where },
    ),
  firstEndMoves: (metres: number) =>
    metres > 0
      ? t("The first tree would stand {length} m farther out: trees keep their numbers and are counted from there.", { length: measure(metres) })
      : t("The first tree would stand {length} m farther in: trees keep their numbers and are counted from there.", { length: measure(-metres) }),
  shifted: (block: string, metres: number) =>
    t("Block {block}: all rows would lie about {length} m to one side of where they were. If the file is off by a row, each would be its neighbour: look at one row in the field first.", {
      block,
      length: measure(Math.abs(metres)),
    }),
  skewed: (block: string, degrees: number) =>
    t("Block {block}: the rows would run {n}° otherwise. Each is taken for the row that it meets in its middle: look at the ends of one row first.", { block, n: measure(degrees) }),
  outside: (block: string, n: number) =>
    tn("Block {block}: {n} row would lie outside its outline.", "Block {block}: {n} rows would lie outside its outline.", n, { block }),
  overlaps: (block: string, other: string, share: number) =>
    t("Block {block}: {share} of its ground is block {other} too. Trees there would be counted twice.", { block, other, share: percent(share, 100) }),
  placesLost: (where: string, n: number) =>
    tn("{where}: {n} blank or pollinizer lies beyond its new end and is forgotten.", "{where}: {n} blanks or pollinizers lie beyond its new end and are forgotten.", n, { where }),
  blockNamed: (code: string, named: readonly (keyof typeof NAMED)[]) =>
    t("Block {code} cannot leave: it has {named}.", { code, named: named.map((one) => NAMED[one]).join(", ") }),
  // changes that were taken
  history: t("Changes that were taken"),
  historyNone: t("None yet."),
  historyLine: (at: string, by: string) => (by === "" ? at : t("{at}, by {name}", { at, name: by })),
  undone: t("A step back:"),
  takeBack: t("Take it back"),
  takeBackLook: t("Look what taking it back would do"),
  takenBack: t("Taken back."),
  // drawing a block
  drawTitle: t("Draw a block"),
  drawHelp: t("Tap the corners on the plan, or type them. Then the spacings, and two points along row 1."),
  drawWhere: t("Where is it?"),
  drawWhereHint: t("No block shows the way yet: give one point, latitude and longitude, or use where this device is."),
  drawHere: t("Where this device is"),
  drawGo: t("Show that place"),
  noPlace: t("This device does not say where it is."),
  notThere: t("Give latitude and longitude, such as 46.498, 11.354."),
  drawTry: t("Show its rows"),
} as const;
