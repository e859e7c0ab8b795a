/** The list a foreman or an auditor picks a block from. A closed block cannot be opened and says until when. */

import { otherCrews, waitingReturns } from "../core/again";
import { withOwn } from "../core/block-figures";
import type { BlockSummary, Overview } from "../core/contracts";
import { momentText } from "../core/numbers";
import { pendingRecords } from "../core/own-records";
import { QUEUE } from "../core/queue-wording";
import { blockAgain } from "../core/returns-wording";
import { ROWS } from "../core/rows-wording";
import { fill, h } from "../ui/dom";
import { ringPicture } from "../ui/legend-signs";
import { notice } from "../ui/notice";
import { pickedCrew, speaksFor, type Context } from "./context";
import "./pickers.css";
import { takeAlong } from "./take-along";

/** Blocks under a title of their own, in the order to show, own records in their figures. */
export interface PickerSection {
  title: string;
  blocks: readonly Picked[];
}

export interface PickerWords {
  line(block: BlockSummary): string;
  /** What waits for whoever picks; nothing where nothing does. */
  waits?(block: BlockSummary): string;
}

/** Return why a block cannot be opened now, said where it is seen first. */
export function closedNote({ code, closed }: BlockSummary, timeZone: string): HTMLElement {
  const said = notice();
  if (closed !== null) said.say(`${code}: ${ROWS.closed(momentText(closed.until, timeZone), closed.reason)}`, "bad");
  return said.box;
}

/** A block with the day by which the first of its returns is due, and the crews asked where this device's own is not, as far as it knows. */
type Picked = BlockSummary & { dueOn?: string; askedOf?: string; isAskedOfOthers?: boolean };

/** Return the blocks with what only this device knows of them in their figures. */
export async function blocksWithOwn(context: Context, overview: Overview): Promise<Picked[]> {
  const { sending, ground, farm } = context;
  const speaks = speaksFor(context);
  const own = pickedCrew(context)?.id ?? speaks;
  return Promise.all(
    overview.blocks.map(async (block) => {
      const isOwn = sending.pendingFor(block.id, overview).length > 0;
      const held = isOwn || (block.again ?? 0) > 0 ? await ground.block(block.id) : null;
      if (held === null) return block;
      const now = isOwn ? withOwn(block, overview, held, sending.entries(), speaks) : block;
      const pending = pendingRecords(sending.pendingFor(block.id, held.log), speaks);
      const waiting = waitingReturns(held.log, held.shape.rows, pending);
      const [dueOn] = waiting.map(({ said }) => said.due_on).sort();
      const others = otherCrews(waiting, own);
      const names = others.flatMap((id) => farm.crews.find((crew) => crew.id === id)?.name ?? []);
      const isAskedOfOthers = own !== null && waiting.every(({ said }) => said.crew_id !== own);
      return dueOn === undefined ? now : { ...now, dueOn, askedOf: names.join(", "), isAskedOfOthers };
    }),
  );
}

interface Choice {
  box: HTMLElement;
  /** Show figures as they are now. */
  draw(block: Picked): void;
  drawAge(age: string | null, isAnyHere: boolean): void;
}

function blockChoice(begin: Picked, { farm, ground }: Context, words: PickerWords, pick: () => void): Choice {
  const { id, code, name, variety, closed } = begin;
  const along = takeAlong(begin, farm.time_zone, () => ground.fetchAhead(farm.id, [id]));
  const ring = h("span", { class: "block-ring" });
  const line = h("span", {});
  const waits = h("strong", { class: "block-again" });
  const again = h("strong", { class: "block-again" });
  const about = [name === code ? "" : name, variety ?? ""].filter((part) => part !== "");
  const text = h(
    "span",
    { class: "block-text" },
    h("span", { class: "block-about" }, about.join(", ")),
    line,
    waits,
    again,
    closed === null ? null : h("strong", { class: "block-closed" }, ROWS.closed(momentText(closed.until, farm.time_zone), closed.reason)),
  );
  const title = h("span", { class: "block-code" }, code);
  const button = h("button", { type: "button", class: "block-choice", disabled: closed !== null, on: { click: pick } }, ring, title, text);
  const draw = (block: Picked): void => {
    const onRing = { again: block.again ?? 0 };
    fill(ring, ringPicture(block.trees > 0 ? block.pruned / block.trees : 0, block.verdict, onRing));
    fill(line, words.line(block));
    waits.textContent = words.waits?.(block) ?? "";
    again.textContent = blockAgain(block.again ?? 0, block.dueOn, farm.today, block.askedOf);
  };
  draw(begin);
  return { box: h("li", {}, button, along.box), draw, drawAge: along.draw };
}

/**
 * Return the lists of an overview's blocks. Later records of this device are drawn in place.
 */
export function blockPicker(
  context: Context,
  overview: Overview,
  sections: readonly PickerSection[],
  words: PickerWords,
  pick: (block: BlockSummary) => void,
): HTMLElement {
  const { ground, sending, farm } = context;
  const oldestHere = h("p", { class: "pack-age" });
  const blocks = sections.flatMap((section) => section.blocks);
  const choices = new Map(blocks.map((block) => [block.id, blockChoice(block, context, words, () => pick(block))]));
  const box = h(
    "section",
    {},
    ...sections.flatMap(({ title, blocks: listed }, at) => [
      h("h2", {}, title),
      at === 0 ? oldestHere : null,
      h("ul", { class: "block-choices plain-list" }, ...listed.map(({ id }) => choices.get(id)?.box ?? null)),
    ]),
  );
  const drawAges = (): void => {
    const ages = blocks.flatMap(({ id }) => ground.packAge(id) ?? []).sort();
    const [oldest] = ages;
    oldestHere.hidden = oldest === undefined;
    if (oldest !== undefined) fill(oldestHere, QUEUE.packs(ages.length, blocks.length, momentText(oldest, farm.time_zone)));
    for (const [id, choice] of choices) choice.drawAge(ground.packAge(id), oldest !== undefined);
  };
  const drawFigures = async (): Promise<void> => {
    for (const block of await blocksWithOwn(context, overview)) choices.get(block.id)?.draw(block);
  };
  const whileShown = (listen: (changed: () => void) => () => void, draw: () => void): void => {
    const stop = listen(() => (box.isConnected ? draw() : stop()));
  };
  whileShown(ground.listen, drawAges);
  whileShown(sending.listen, () => void drawFigures());
  drawAges();
  return box;
}
