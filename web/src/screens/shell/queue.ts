/** The list of what this device has not got rid of: waiting, set aside, refused; with a file to hand over. */

import { momentText } from "../../core/numbers";
import { queueFile, tally, type Entry, type EntryState, type RefusedPhoto } from "../../core/outbox";
import { entryWords, HINDRANCE, PARTS, QUEUE, REFUSED_PHOTOS, SHORTCOMING } from "../../core/queue-wording";
import { fill, h } from "../../ui/dom";
import { saveFile } from "../../ui/save-file";
import type { Standing } from "./standing";

export interface QueueActions {
  send(): void;
  /** Remember that somebody has read these. */
  seen(entries: readonly Entry[]): void;
  /** Send refused ones anew. */
  again(entries: readonly Entry[]): void;
  /** Delete photos that were refused. */
  dropPhotos(photos: readonly RefusedPhoto[]): void;
  /** Return how people call a block, or its id where that is not known. */
  blockCode(id: string): string;
}
export interface Queue {
  box: HTMLDialogElement;
  open(): void;
  /** Draw anew what the open list shows. */
  draw(standing: Standing, timeZone: string): void;
}

const MOST = 50;

/** Return the dialog; it is empty until it is opened. */
export function queueOf(actions: QueueActions): Queue {
  const title = h("h2", { id: "queue-title", tabindex: "-1" }, QUEUE.title);
  const body = h("div", {});
  let last: { standing: Standing; timeZone: string } | null = null;
  const close = (): void => box.close();
  const box = h(
    "dialog",
    { class: "over queue", "aria-labelledby": "queue-title" },
    title,
    body,
    h("button", { type: "button", class: "main queue-close", on: { click: close } }, QUEUE.close),
  );
  const list = (entries: readonly Entry[], timeZone: string): HTMLElement =>
    h(
      "ul",
      { class: "plain-list" },
      ...entries.slice(0, MOST).map((entry) => {
        const words = entryWords(entry, actions.blockCode(entry.subject.block), timeZone);
        return h("li", {}, entry.reason === "" ? words : `${words}: ${entry.reason}`);
      }),
      entries.length > MOST ? h("li", {}, QUEUE.more(entries.length - MOST)) : null,
    );
  const refusedPhotos = ({ entries, refusedPhotos: photos }: Standing, timeZone: string): HTMLElement | null => {
    if (photos.length === 0) return null;
    const lines = photos.slice(0, MOST).map(({ checkId, why }) => {
      const entry = entries.find(({ id }) => id === checkId);
      const of = entry === undefined ? QUEUE.photoOfGone : QUEUE.photoOf(entryWords(entry, actions.blockCode(entry.subject.block), timeZone));
      return h("li", {}, `${of}: ${why}`);
    });
    const drop = h("button", { type: "button", on: { click: () => actions.dropPhotos(photos) } }, QUEUE.dropPhotos);
    const more = photos.length > MOST ? h("li", {}, QUEUE.more(photos.length - MOST)) : null;
    return h("section", {}, h("h3", {}, REFUSED_PHOTOS.title), h("p", {}, REFUSED_PHOTOS.todo), h("ul", { class: "plain-list" }, ...lines, more), drop);
  };
  const draw = (standing: Standing, timeZone: string): void => {
    last = { standing, timeZone };
    if (!box.open) return;
    const of = (state: EntryState): Entry[] => standing.entries.filter((entry) => entry.state === state);
    const [waiting, aside, refused] = [of("waiting"), of("set_aside").reverse(), of("refused").reverse()];
    const unread = [...aside, ...refused].filter(({ seen }) => seen !== true);
    const { oldestWaiting } = tally(standing.entries);
    const part = (heading: string, todo: string, entries: readonly Entry[]): HTMLElement | null =>
      entries.length === 0 ? null : h("section", {}, h("h3", {}, heading), h("p", {}, todo), list(entries, timeZone));
    fill(
      body,
      waiting.length + aside.length + refused.length + standing.refusedPhotos.length === 0 ? h("p", {}, QUEUE.nothing) : null,
      standing.because === null || waiting.length === 0 ? null : h("p", {}, HINDRANCE[standing.because]),
      part(PARTS.refused.title, PARTS.refused.todo, refused),
      refusedPhotos(standing, timeZone),
      part(PARTS.set_aside.title, PARTS.set_aside.todo, aside),
      part(PARTS.waiting.title, `${PARTS.waiting.todo} ${QUEUE.oldest(momentText(oldestWaiting ?? "", timeZone))}`, waiting),
      h(
        "div",
        { class: "queue-tools" },
        waiting.length === 0 ? null : h("button", { type: "button", class: "main", on: { click: actions.send } }, QUEUE.tryNow),
        waiting.length + aside.length + refused.length === 0
          ? null
          : h("button", { type: "button", on: { click: () => save([...waiting, ...aside, ...refused], standing.known_skew_s) } }, QUEUE.save),
        refused.length === 0 ? null : h("button", { type: "button", on: { click: () => actions.again(refused) } }, QUEUE.sendAgain),
        unread.length === 0 ? null : h("button", { type: "button", on: { click: () => actions.seen(unread) } }, QUEUE.understood),
      ),
      waiting.length + aside.length + refused.length === 0 ? null : h("p", { class: "field-hint" }, QUEUE.saveNote),
      h("p", { class: "field-hint" }, QUEUE.kept),
      ...standing.shortcomings.map((one) => h("p", { class: "field-hint" }, SHORTCOMING[one])),
    );
  };
  return {
    box,
    draw,
    open() {
      if (!box.open) box.showModal();
      title.focus();
      if (last !== null) draw(last.standing, last.timeZone);
    },
  };
}

/** Hand the records to the browser as a file. */
function save(entries: readonly Entry[], skew_s: number | null): void {
  const made_at = new Date().toISOString();
  const file = new Blob([queueFile(entries, made_at, skew_s)], { type: "application/json" });
  saveFile(file, QUEUE.fileName(made_at.slice(0, 10)));
}
