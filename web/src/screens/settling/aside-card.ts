/** One record set aside: why, its versions side by side, and whether it counts or is left out. */

import { dayText } from "../../core/numbers";
import { differing, markedThere, positionsIn, recordSettlement, type AsideRecord, type Version } from "../../core/matters";
import { SETTLING } from "../../core/settling-wording";
import { COUNTED, countedWords } from "../../core/tally-wording";
import { h } from "../../ui/dom";
import { textField } from "../../ui/field";
import { freshId, stamp } from "../context";
import { actsOf, type Act, type Card, type CardTools } from "./card";
import type { Knowing } from "./knowing";
import { rowWay } from "./row-way";

type Differing = ReturnType<typeof differing>;

function positions(version: Version): string {
  const found = positionsIn(version);
  return found === null ? "" : SETTLING.part(found.first, found.last);
}
function whereNow({ reason_code, now_at }: Version, knowing: Knowing): string {
  if (reason_code !== "other_ground") return "";
  if (now_at == null) return SETTLING.nowUnknown;
  return [SETTLING.place(knowing.code(now_at.block_id), now_at.row), SETTLING.part(now_at.first, now_at.last)].join(", ");
}
function counted({ what, number }: Version): string {
  return what === undefined || what === null ? "" : countedWords(what, number ?? null);
}

interface Line {
  word: string;
  text(version: Version): string;
  differs: boolean;
}

function linesOf(record: AsideRecord, different: Differing, knowing: Knowing): Line[] {
  const { fields } = SETTLING;
  const differs = (text: (version: Version) => string): boolean => new Set(record.versions.map(text)).size > 1;
  const lines: Line[] = [
    { word: fields.reason, text: (version) => version.reason, differs: false },
    { word: fields.block_id, text: (version) => knowing.code(version.block_id), differs: different.has("block_id") },
    { word: fields.row, text: (version) => (version.row === null ? "" : String(version.row)), differs: different.has("row") },
    { word: fields.positions, text: positions, differs: differs(positions) },
    { word: COUNTED.column, text: counted, differs: differs(counted) },
    { word: fields.now_at, text: (version) => whereNow(version, knowing), differs: false },
    { word: fields.crew_id, text: (version) => knowing.crew(version.crew_id), differs: different.has("crew_id") },
    { word: fields.day, text: (version) => (version.day === null ? "" : dayText(version.day)), differs: different.has("day") },
    { word: fields.taken, text: (version) => knowing.moment(version.server_at), differs: false },
  ];
  // a line that no version has anything for is left out
  return lines.filter((line) => record.versions.some((version) => line.text(version) !== ""));
}

function versionsTable(record: AsideRecord, knowing: Knowing): HTMLElement {
  const several = record.versions.length > 1;
  const lines = linesOf(record, differing(record.versions), knowing);
  const head = several
    ? h("thead", {}, h("tr", {}, h("td", {}), ...record.versions.map((_, at) => h("th", { scope: "col" }, SETTLING.version(at + 1)))))
    : null;
  const body = lines.map((line) =>
    h(
      "tr",
      { "data-differs": String(line.differs) },
      h("th", { scope: "row" }, line.word, line.differs ? h("strong", { class: "differs" }, ` (${SETTLING.differs})`) : null),
      ...record.versions.map((version) => h("td", {}, line.text(version) || SETTLING.notSaid)),
    ),
  );
  const table = h("table", { class: "versions" });
  table.append(...(head === null ? [] : [head]), h("tbody", {}, ...body));
  return h("div", { class: "marks-frame", tabindex: "0", role: "region", "aria-label": SETTLING.recordLine(record.kind, "", null) }, table);
}

function actsFor(record: AsideRecord, knowing: Knowing, note: () => string): Act[] {
  const several = record.versions.length > 1;
  const [first] = record.versions;
  const isMoved = first?.reason_code === "other_ground";
  const act = (label: string, counts: string | null, settled: string, main: boolean): Act => ({
    label,
    main,
    decide: () => ({
      print: JSON.stringify([counts, note()]),
      make: () => [recordSettlement(record, counts, note(), freshId())],
      settled,
    }),
  });
  const label = (version: Version, at: number): string =>
    several ? SETTLING.letVersionCount(at + 1) : isMoved ? SETTLING.letCountIn(version.row ?? 0) : SETTLING.letCount;
  const counting = record.versions.flatMap((version, at) =>
    version.can_count ? [act(label(version, at), version.content_hash, SETTLING.counted, !several && !isMoved)] : [],
  );
  return [...(first === undefined || several ? [] : movedAct(record, first, knowing, note)), ...counting, act(several ? SETTLING.leaveAllOut : SETTLING.leaveOut, null, SETTLING.leftOut, false)];
}

/** Return the way to the row that a version speaks of, or would by today's rows; a row that is not there cannot be seen. */
function wayTo(version: Version | undefined, go: CardTools["go"]): HTMLElement | null {
  if (version === undefined || version.reason_code.startsWith("unknown_")) return null;
  const { block_id, row } = version.reason_code === "other_ground" ? (version.now_at ?? { block_id: null, row: null }) : version;
  return block_id === null || row === null ? null : rowWay(block_id, row, go);
}

/** What a manager does about a mark whose trees are known to be elsewhere: it is recorded there, and left out here. */
function movedAct(record: AsideRecord, version: Version, knowing: Knowing, note: () => string): Act[] {
  const { now_at } = version;
  if (record.kind !== "mark" || now_at == null) return [];
  return [
    {
      label: SETTLING.countThere(now_at.block_id === version.block_id ? "" : knowing.code(now_at.block_id), now_at.row, now_at.first, now_at.last),
      main: true,
      decide: () => ({
        print: JSON.stringify(["there", note()]),
        make: () => {
          const mark = markedThere(version, stamp());
          return [...(mark === null ? [] : [{ mark }]), recordSettlement(record, null, note(), freshId())];
        },
        settled: SETTLING.countedThere,
      }),
    },
  ];
}

/** Return the card. */
export function asideCard(record: AsideRecord, knowing: Knowing, { deciding, settled, go }: CardTools): Card {
  const { versions } = record;
  const first = versions[0];
  const note = textField(SETTLING.note, "", { maxlength: 500 }, SETTLING.noteHint);
  const acts = actsOf(actsFor(record, knowing, () => note.input.value.trim()), deciding, () => {
    note.box.remove();
    box.dataset["settled"] = "true";
    settled();
  });
  const stuck = versions.every((version) => !version.can_count);
  const box = h(
    "article",
    { class: "matter", "data-status": record.status },
    h("h3", {}, SETTLING.recordLine(record.kind, knowing.code(first?.block_id ?? null), first?.row ?? null)),
    record.status === "reopened" ? h("p", { class: "reopened unsettled" }, h("strong", {}, `${SETTLING.reopened}. `), SETTLING.asideReopened) : null,
    versions.length > 1 ? h("p", {}, SETTLING.versions(versions.length)) : null,
    versionsTable(record, knowing),
    wayTo(first, go),
    stuck && first?.now_at == null ? h("p", { class: "otherwise unsettled" }, SETTLING.cannotCount(first?.reason_code ?? "")) : null,
    note.box,
    acts.box,
  );
  return { box, keep: () => acts.isSettled() || note.input.value.trim() !== "" };
}
