/** The settling screen: overlaps, records set aside, crew-days entered twice; each answered by one more record. */

import { inOrder, type AsideRecord, type Matters, type Overlap } from "../../core/matters";
import type { Place } from "../../core/place";
import { SETTLING } from "../../core/settling-wording";
import { SHELL } from "../../core/wording";
import { sentence } from "../../data/request";
import { settlingApi } from "../../data/settling-api";
import { whoApi } from "../../data/who-api";
import { fill, h } from "../../ui/dom";
import { notice } from "../../ui/notice";
import "../../ui/line-buttons.css";
import type { Screen } from "../context";
import { newsOf } from "../news";
import { asideCard } from "./aside-card";
import type { CardTools } from "./card";
import { crewDayCard } from "./crew-day-card";
import { decidingOf } from "./deciding";
import { knowingOf, type Knowing } from "./knowing";
import { matterList, type MatterList } from "./matter-list";
import { overlapCard } from "./overlap-card";
import "./settling.css";

interface Reading {
  matters: Matters;
  knowing: Knowing;
}
interface Lists {
  overlaps: MatterList;
  aside: MatterList;
  crewDays: MatterList;
}

const overlapKey = ({ season_id, block_id, row, first, last }: Overlap): string => [season_id, block_id, row, first, last].join();
const asideKey = ({ kind, id }: AsideRecord): string => `${kind} ${id}`;

/** Go to what the address asks for: the overlap of a row, else what of a block was set aside, else its first overlap. */
function goToAsked({ overlaps, aside }: Lists, { matters, knowing }: Reading, { block, row }: Place): void {
  if (block === null) return;
  const there = inOrder(matters.overlaps, (id) => knowing.code(id)).filter(({ block_id }) => block_id === block);
  const overlap = there.find((one) => one.row === row) ?? there[0];
  const record = matters.set_aside.find(({ versions }) => versions.some(({ block_id }) => block_id === block));
  if (record !== undefined && (row === undefined || overlap === undefined)) aside.goTo(asideKey(record));
  else if (overlap !== undefined) overlaps.goTo(overlapKey(overlap));
}

function update(lists: Lists, { matters, knowing }: Reading, how: { anew: boolean; moves: boolean }, tools: () => CardTools): void {
  const overlaps = inOrder(matters.overlaps, (id) => knowing.code(id)).map((overlap) => ({
    key: overlapKey(overlap),
    print: JSON.stringify(overlap),
    draw: () => overlapCard(overlap, knowing, tools()),
  }));
  const aside = matters.set_aside.map((record) => ({
    key: asideKey(record),
    print: JSON.stringify(record),
    draw: () => asideCard(record, knowing, tools()),
  }));
  const crewDays = matters.crew_days.map((matter) => ({
    key: [matter.crew_id, matter.day, matter.method].join(),
    print: JSON.stringify(matter),
    draw: () => crewDayCard(matter, knowing, tools()),
  }));
  lists.overlaps.update(overlaps, how);
  lists.aside.update(aside, how);
  lists.crewDays.update(crewDays, how);
}

/** Show the screen. */
export const showSettling: Screen = (root, context) => {
  const { farm } = context;
  const api = settlingApi(context.request);
  const counts = h("p", { class: "settling-counts", role: "status" }, SHELL.loading);
  const said = notice();
  const lists: Lists = {
    overlaps: matterList(SETTLING.overlaps, ""),
    aside: matterList(SETTLING.aside, SETTLING.asideLead),
    crewDays: matterList(SETTLING.crewDays, ""),
  };
  let cursor: number | null = null;
  let left = false;
  let visit = 0;

  const read = async (): Promise<Reading> => {
    const [matters, overview, tablets] = await Promise.all([
      api.matters(farm.id),
      context.api.overview(farm.id, farm.today),
      whoApi(context.request).tablets(farm.id),
    ]);
    return { matters, knowing: knowingOf(farm, overview.blocks, tablets.devices) };
  };
  /** Read and draw. After a settlement of one's own (not anew) the counts follow, and nothing under the hand moves. */
  const show = async (anew: boolean, isUnasked = false): Promise<void> => {
    visit += 1;
    const mine = visit;
    try {
      const reading = await read();
      if (left || mine !== visit) return; // a later reading is under way and knows more
      const isFirst = cursor === null;
      const draw = (): void => {
        cursor = reading.matters.cursor;
        said.say("");
        update(lists, reading, { anew, moves: isUnasked }, tools);
        const { overlaps, set_aside, crew_days } = reading.matters;
        fill(counts, SETTLING.counts(overlaps.length, set_aside.length, crew_days.length) || SETTLING.nothing);
      };
      if (anew || isUnasked) news.draw(draw, isUnasked);
      else draw();
      if (isFirst) goToAsked(lists, reading, context.place);
    } catch (error) {
      if (left || mine !== visit) return;
      if (cursor === null) fill(counts);
      if (!isUnasked || cursor === null) said.say(sentence(error, SHELL.noAnswer), "bad");
    }
  };
  const tools = (): CardTools => ({ deciding: decidingOf(api, farm.id), settled: () => void show(false), go: context.go });

  const boxes = Object.values(lists).map((list: MatterList) => list.box);
  const body = h("div", { class: "settling-lists" }, ...boxes);
  // what comes by itself leaves a card that is worked on as it is
  const news = newsOf({ body, cursor: () => cursor, read: (isUnasked) => show(!isUnasked, isUnasked) });
  fill(root, h("h1", {}, SETTLING.title), h("p", { class: "settling-lead" }, SETTLING.purpose), news.line, counts, said.box, body);
  void show(true);
  return {
    cursor: () => cursor,
    newer: news.newer,
    leave() {
      left = true;
      news.leave();
    },
  };
};
