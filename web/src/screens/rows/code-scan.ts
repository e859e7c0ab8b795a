/** Scanning the code of a row end: it leads to its row, here or in another block. Hidden where the browser reads no codes. */

import { rowCodeOf } from "../../core/row-code";
import { BY_NUMBER } from "../../core/rows-wording";
import { canScan, scan, type Scan } from "../../data/camera";
import { fill, h } from "../../ui/dom";
import { notice } from "../../ui/notice";

export interface CodeHears {
  /** The block that a code names: its id and code, null for none; `here` when it is the one that is shown. */
  blockOf(name: string): { id: string; code: string; here: boolean } | null;
  row(row: number): void;
  /** Tell whether the shown block has such a row. */
  hasRow(row: number): boolean;
  openOther(block: string, row: number): void;
}

/** Return the button, the place for the camera's picture, and the way to let the camera go. */
export function codeScan(hears: CodeHears): { button: HTMLElement; box: HTMLElement; stop(): void } {
  const said = notice();
  const picture = h("div", { class: "camera" });
  let running: Scan | null = null;
  let asked = 0;

  const stop = (): void => {
    asked += 1;
    running?.stop();
    running = null;
    fill(picture);
    button.textContent = BY_NUMBER.scan;
  };
  const seen = (text: string): void => {
    const code = rowCodeOf(text);
    const block = code === null ? null : hears.blockOf(code.block);
    if (code === null || block === null || (block.here && !hears.hasRow(code.row))) return said.say(BY_NUMBER.noCode);
    stop();
    if (block.here) return hears.row(code.row);
    said.say(BY_NUMBER.otherBlock(block.code, code.row));
    const go = (): void => hears.openOther(block.id, code.row);
    fill(picture, h("button", { type: "button", class: "main", on: { click: go } }, BY_NUMBER.goThere(block.code)));
  };
  const start = async (): Promise<void> => {
    stop();
    const mine = asked;
    const video = h("video", { class: "camera-picture", "aria-label": BY_NUMBER.cameraLabel });
    fill(picture, video);
    said.say(BY_NUMBER.scanning);
    button.textContent = BY_NUMBER.stopScan;
    try {
      const begun = await scan(video, seen);
      video.dataset["live"] = "true";
      if (mine === asked) running = begun;
      else begun.stop(); // given up meanwhile
    } catch (error) {
      stop();
      said.say(BY_NUMBER.noCamera(error instanceof Error ? error.name : ""));
    }
  };
  const toggle = (): void => {
    if (running === null) return void start();
    stop();
    said.say("");
  };
  const button = h("button", { type: "button", hidden: true, on: { click: toggle } }, BY_NUMBER.scan);
  void canScan().then((can) => (button.hidden = !can));
  return { button, box: h("div", { class: "scan" }, said.box, picture), stop };
}
