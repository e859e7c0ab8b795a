/** Walks that were begun on this device and whose lot is gone: said until somebody has read it, then forgotten, photos and all. */

import { WALK } from "../../core/check-walk-wording";
import type { BlockLots } from "../../core/quality-contracts";
import { walksHere, WALKS } from "../../core/walks-here";
import { SHELL } from "../../core/wording";
import { fill, h } from "../../ui/dom";
import { notice } from "../../ui/notice";
import type { Context } from "../context";

/** Say in `box` which walks of a block have ended by themselves. What nothing belongs to any more is removed. */
export async function tellGoneWalks(box: HTMLElement, { halfDone, photos }: Pick<Context, "halfDone" | "photos">, block: string, lots: BlockLots): Promise<void> {
  const kept = await halfDone.all(WALKS);
  const { gone, past } = walksHere(kept, block, lots);
  await forget(past);
  fill(
    box,
    ...gone.map(({ number, isCancelled, isHalfAnswered, names }) => {
      const said = notice();
      said.say([isCancelled ? WALK.cancelled(number) : WALK.closed(number), isHalfAnswered ? WALK.halfGoes : ""].filter(Boolean).join(" "), "bad");
      const line = h("div", { class: "walk-gone" }, said.box, h("button", { type: "button", on: { click: () => void understood() } }, SHELL.understood));
      const understood = async (): Promise<void> => {
        line.remove();
        await forget(names);
      };
      return line;
    }),
  );

  async function forget(names: readonly string[]): Promise<void> {
    for (const name of names) await halfDone.drop(name);
    const { toCome } = walksHere(await halfDone.all(WALKS), block, lots);
    await photos().then((held) => held.sweep(toCome)).catch(() => undefined);
  }
}
