/** What a change of the ground comes to, in lines that people read: rows that share a fate share a line. */

import { rows as ofRows, trees as ofTrees } from "./counted";
import type { BlockChange, GroundDifference, GroundProblem, RowChange } from "./ground-contracts";
import { GROUND } from "./ground-wording";

export interface ChangeLine {
  text: string;
  hinders: boolean;
  /** To be known before it is taken; hinders nothing. */
  heed?: boolean;
}
interface Group {
  kind: "leaves" | "new" | "renumbered" | "goes" | "other";
  block: string;
  rows: number[];
  trees: number;
  /** How far every row's new number lies from its old one. */
  by: number;
  text: string;
  /** How far the one moves that moves farthest. */
  moved: number;
}

/** Return numbers as people say them: 3, 5 to 9. */
export function numberList(numbers: readonly number[]): string {
  const runs: [number, number][] = [];
  for (const number of [...numbers].sort((a, b) => a - b)) {
    const last = runs.at(-1);
    if (last !== undefined && last[1] === number - 1) last[1] = number;
    else runs.push([number, number]);
  }
  return runs.map(([from, to]) => (from === to ? String(from) : to === from + 1 ? `${from}, ${to}` : GROUND.run(from, to))).join(", ");
}

/** Return the lines of a change, what hinders it first. `code` names a block by its id. */
export function changeLines(found: GroundDifference, code: (block: string) => string): ChangeLine[] {
  const problems = alike(found.problems).map((rows) => ({ text: problemText(rows, code), hinders: rows[0].hinders, heed: !rows[0].hinders }));
  const kept = found.leaving.map(({ id, named }) => ({ text: GROUND.blockNamed(code(id), named), hinders: true }));
  const blocks = found.blocks.flatMap((one) => blockLines(one));
  const rows = grouped(found, code).map(groupText);
  return [
    ...[...kept, ...problems].sort((a, b) => Number(b.hinders) - Number(a.hinders)),
    ...[...blocks, ...rows].map((text) => ({ text, hinders: false })),
  ];
}

/** Return what becomes of a block. */
export function blockText({ code, before, after }: BlockChange): string {
  if (before === null && after !== null) return GROUND.blockNew(code, ofRows(after.rows), ofTrees(after.trees));
  if (before !== null && after === null) return GROUND.blockLeaves(code, ofRows(before.rows), ofTrees(before.trees));
  if (before === null || after === null) return code;
  const [was, is] = [before, after].map((size) => GROUND.size(ofRows(size.rows), ofTrees(size.trees)));
  return was === is ? GROUND.blockSame(code, is ?? "") : GROUND.blockChanges(code, was ?? "", is ?? "");
}

function blockLines(one: BlockChange): string[] {
  const area = one.before !== null && one.after !== null && Math.abs(one.before.area_ha - one.after.area_ha) >= 0.005;
  const { before, after } = one;
  const both = before !== null && after !== null;
  const called = both && (before.code !== after.code || before.name !== after.name) ? [GROUND.calledNow(before.code, `${after.code} ${after.name}`)] : [];
  const variety = both && before.variety_id !== after.variety_id ? [GROUND.varietyChanges(one.code)] : [];
  return [blockText(one), ...called, ...variety, ...(area ? [GROUND.area(one.code, one.before?.area_ha ?? 0, one.after?.area_ha ?? 0)] : [])];
}

type Several = [GroundProblem, ...GroundProblem[]];

/** Return problems of rows that are said alike together, in the order of the first of each. */
function alike(problems: readonly GroundProblem[]): Several[] {
  const groups: Several[] = [];
  for (const one of problems) {
    const same = groups.find(([first]) => first.code === one.code && first.block_id === one.block_id && first.position === one.position && first.metres === one.metres && first.row > 0);
    if (same === undefined) groups.push([one]);
    else same.push(one);
  }
  return groups;
}

function problemText(rows: Several, codeOf: (block: string) => string): string {
  const [{ code, block_id, position, metres, other }] = rows;
  const block = codeOf(block_id);
  const sum = (of: (one: GroundProblem) => number): number => rows.reduce((all, one) => all + of(one), 0);
  const [marks, others] = [sum((one) => one.marks), sum((one) => one.others)];
  if (code === "shifted") return GROUND.shifted(block, metres);
  if (code === "skewed") return GROUND.skewed(block, metres);
  if (code === "outside") return GROUND.outside(block, others);
  if (code === "overlaps") return GROUND.overlaps(block, codeOf(other), position);
  const where = GROUND.rowsOf(block, numberList(rows.map(({ row }) => row)), rows.length);
  if (code === "places_lost") return GROUND.placesLost(where, sum((one) => one.position));
  if (code === "no_tree") return GROUND.noTree(where, others);
  if (code === "first_end") return `${GROUND.recorded(where, marks, others)} ${GROUND.firstEndMoves(metres)}`;
  return `${GROUND.recorded(where, marks, others)} ${GROUND.why(code, position)}`;
}

function grouped(found: GroundDifference, code: (block: string) => string): Group[] {
  const groups: Group[] = [];
  const whole = new Set(found.blocks.filter(({ before, after }) => before === null || after === null).map(({ id }) => id));
  for (const change of found.rows) {
    const one = groupOf(change, code);
    // of a block that comes or leaves whole its own line says it
    if ((one.kind === "leaves" || one.kind === "new") && whole.has((change.was ?? change.now)?.[0] ?? "")) continue;
    const last = groups.find(
      ({ kind, block, by, text, moved }) =>
        kind === one.kind && block === one.block && by === one.by && text === one.text && moved > 0 === one.moved > 0,
    );
    if (last === undefined) groups.push(one);
    else {
      last.rows.push(...one.rows);
      last.trees += one.trees;
      last.moved = Math.max(last.moved, one.moved);
    }
  }
  return groups;
}

function groupOf(change: RowChange, code: (block: string) => string): Group {
  const { was, now, trees, trees_before, moved_m, turned, blanks, pollinizers } = change;
  const [block, row] = was ?? now ?? ["", 0];
  const base = { block: code(block), rows: [row], trees: trees_before ?? trees ?? 0, by: 0, text: "", moved: 0 };
  if (now === null) return { ...base, kind: "leaves" };
  if (was === null) return { ...base, kind: "new" };
  const parts = [
    turned ? GROUND.turned : "",
    trees !== trees_before ? GROUND.treesChange(trees_before ?? 0, ofTrees(trees ?? 0)) : "",
    blanks !== 0 ? GROUND.moreBlanks(blanks) : "",
    pollinizers !== 0 ? GROUND.morePollinizers(pollinizers) : "",
  ].filter((text) => text !== "");
  const sameBlock = now[0] === was[0];
  const still = parts.length === 0 && moved_m === 0;
  if (sameBlock && now[1] !== was[1] && still) return { ...base, kind: "renumbered", by: now[1] - was[1] };
  if (!sameBlock && still) return { ...base, kind: "goes", by: now[1] - was[1], text: code(now[0]) };
  const to = sameBlock ? (now[1] === was[1] ? "" : GROUND.becomes(now[1])) : GROUND.goesTo(code(now[0]), now[1]);
  return { ...base, kind: "other", text: [to, ...parts].filter((text) => text !== "").join(", "), moved: moved_m };
}

function groupText({ kind, block, rows, trees, by, text, moved }: Group): string {
  const which = GROUND.rowsOf(block, numberList(rows), rows.length);
  if (kind === "leaves") return GROUND.leave(which, ofTrees(trees));
  if (kind === "new") return GROUND.areNew(which, ofTrees(trees));
  if (kind === "goes") return GROUND.goTo(which, text, numberList(rows.map((row) => row + by)), rows.length);
  if (kind === "renumbered") return GROUND.renumbered(which, numberList(rows.map((row) => row + by)));
  const said = [text, moved > 0 ? GROUND.movedBy(moved) : ""].filter((part) => part !== "").join(", ") || GROUND.redrawn;
  return rows.length > 1 ? GROUND.each(which, said) : `${which}: ${said}.`;
}
