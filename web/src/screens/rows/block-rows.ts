/** The rows of one block as strips, the bar that marks and undoes, and what was marked today. */

import type { Crew, Method, ShapeRow } from "../../core/contracts";
import { runsOfRow } from "../../core/coverage";
import { dayText } from "../../core/numbers";
import { METHOD, ROWS, SHELL } from "../../core/wording";
import { sentence } from "../../data/request";
import { fill, h } from "../../ui/dom";
import { choiceField, textField } from "../../ui/field";
import { emptyState, notice } from "../../ui/notice";
import type { BlockReading } from "../block-reading";
import type { Context, Shown } from "../context";
import { actionBar } from "./action-bar";
import { cautions } from "./cautions";
import { stripKey } from "./strip-key";
import { marksList } from "./marks-list";
import { markingOf, type Done } from "./marking";
import { rowStrip, type RowStrip } from "./row-strip";
import "./rows.css";

export interface Work {
  crew: Crew;
  seasonId: string;
}

function head(reading: BlockReading, context: Context, work: Work, day: HTMLElement, method: HTMLElement): HTMLElement {
  const { block } = reading;
  const name = block.name === block.code ? "" : block.name;
  return h(
    "div",
    { class: "rows-head" },
    h(
      "div",
      {},
      h("h1", {}, h("span", { class: "block-code" }, block.code), ` ${name}`),
      h("p", {}, [block.variety ?? "", `${ROWS.crew}: ${work.crew.name}`].filter(Boolean).join(" · ")),
    ),
    day,
    method,
    h(
      "button",
      { type: "button", on: { click: () => context.go({ screen: "rows", block: null }) } },
      ROWS.otherBlock,
    ),
  );
}

/** Show the rows of a block in `root`. */
export function showBlockRows(root: HTMLElement, context: Context, reading: BlockReading, work: Work): Shown {
  const { block, shape, longest } = reading;
  let { state } = reading;
  let left = false;
  const today = context.farm.today;
  const dayField = textField(ROWS.day, today, { type: "date", max: today });
  const methods = Object.entries(METHOD).map(([value, label]) => ({ value, label }));
  const methodField = choiceField(ROWS.method, methods, work.crew.method);
  const said = notice();
  const strips = new Map<number, RowStrip>();
  const marks = marksList(context, work.crew, (id, row) => void after(marking.takeBack([id], row)));
  const marking = markingOf(context, work, block.id, () => ({
    day: dayField.input.value === "" ? today : dayField.input.value,
    method: methodField.input.value as Method,
  }));
  const bar = actionBar({
    mark: (row, stretches) => void after(marking.mark(row.n, stretches)),
    undo: (done) => void after(marking.takeBack(done.markIds, done.row)),
    preview: (row, stretch) => strips.forEach((strip, n) => strip.preview(n === row?.n ? stretch : null)),
    otherCrews: (row) => otherCrews(row),
    runsOf: (row) => runsOfRow(state.runs, row.n),
  });
  const otherCrews = (row: ShapeRow): string[] => {
    const indices = new Set(runsOfRow(state.runs, row.n).map((run) => run[4]));
    const crews = [...indices].map((index) => state.crews[index]);
    return crews.flatMap((crew) => (crew === undefined || crew.id === work.crew.id ? [] : [crew.name]));
  };

  /** Draw what the service holds now; only rows that changed are touched, so a finger keeps its row. */
  const read = async (): Promise<void> => {
    try {
      // always as of today: a mark for yesterday must not claim what was pruned since
      const [fresh, kept] = await Promise.all([context.api.state(block.id, today), context.api.marks(block.id)]);
      if (left) return;
      state = fresh;
      for (const [row, strip] of strips) strip.update(runsOfRow(state.runs, row));
      const claimed = new Set(state.runs.filter((run) => run[3] === 2).map((run) => run[0]));
      marks.draw(kept.marks, dayField.input.value, claimed);
    } catch (error) {
      said.say(sentence(error, SHELL.noAnswer), "bad");
    }
  };
  const after = async (work_: Promise<Done>): Promise<void> => {
    bar.wait(ROWS.saving);
    const done = await work_;
    // drawn before it is said, so that "saved" never stands beside a row that still looks unpruned
    if (done.answered) await read();
    if (left) return;
    strips.get(done.row)?.setUnsaved(!done.answered);
    bar.say(done);
  };

  for (const row of shape.rows) {
    const strip = rowStrip(row, longest, {
      whole: () => bar.whole(row),
      part: (last) => bar.part(row, last),
    });
    strip.update(runsOfRow(state.runs, row.n));
    strips.set(row.n, strip);
  }
  const toFirst = h(
    "button",
    {
      type: "button",
      on: { click: () => [...strips.values()].find((strip) => !strip.isDone())?.box.scrollIntoView({ block: "center" }) },
    },
    ROWS.firstLeft,
  );
  dayField.input.addEventListener("change", () => void read());
  fill(
    root,
    head(reading, context, work, dayField.box, methodField.box),
    context.device.cautionedOn(block.id, today) ? null : cautions(),
    said.box,
    shape.rows.length === 0
      ? emptyState(ROWS.noRows)
      : h("div", { class: "above-rows" }, h("div", {}, h("p", { class: "how-to" }, ROWS.howTo), stripKey(state.runs)), toFirst),
    h("ol", { class: "row-list plain-list" }, ...[...strips.values()].map((strip) => strip.box)),
    marks.box,
    bar.box,
  );
  document.title = `${block.code} · ${dayText(today)} · ${ROWS.title}`;
  if (context.place.row !== undefined) strips.get(context.place.row)?.box.scrollIntoView({ block: "center" });
  void read();
  return {
    cursor: () => state.cursor,
    newer(records) {
      if (records === 0) strips.forEach((strip) => strip.setUnsaved(false));
      if (!bar.isChoosing()) void read();
    },
    leave() {
      left = true;
    },
  };
}
