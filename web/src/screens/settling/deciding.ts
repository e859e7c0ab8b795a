/** Sends what was decided, piece by piece with ids of its own, so that a lost answer settles nothing twice. */

import type { Mark } from "../../core/contracts";
import type { SettlementBody } from "../../core/matters";
import { SETTLING } from "../../core/settling-wording";
import { NoAnswer, Problem, sentence } from "../../data/request";
import type { SettlingApi } from "../../data/settling-api";

/** What is sent: a settlement, or first the mark that stands for the one that is left out. */
export type Step = SettlementBody | { mark: Mark };

/** A decision under way. `print` tells whether it is still the same one that is asked for. */
export interface Decision {
  print: string;
  bodies: readonly Step[];
  done: number;
}
export type Outcome = { settled: true } | { settled: false; words: string };

export interface Deciding {
  /** Carry out; the same `print` again goes on where the last try stopped, with the same ids. */
  carryOut(print: string, make: () => readonly Step[]): Promise<Outcome>;
}

/** Return the way to settle one matter of a farm. */
export function decidingOf(api: Pick<SettlingApi, "settle" | "markThere">, farm: string): Deciding {
  let now: Decision | null = null;
  return {
    async carryOut(print, make) {
      if (now?.print !== print) now = { print, bodies: make(), done: 0 };
      const decision = now;
      try {
        while (decision.done < decision.bodies.length) {
          const body = decision.bodies[decision.done];
          if (body !== undefined) await ("mark" in body ? api.markThere(farm, body.mark) : api.settle(farm, body));
          decision.done += 1;
        }
        return { settled: true };
      } catch (error) {
        // under this id stands something else, or it cannot count: another try must be another settlement
        if (error instanceof Problem && error.status < 500) now = null;
        return { settled: false, words: wordsOf(error, decision) };
      }
    },
  };
}

function wordsOf(error: unknown, { done }: Decision): string {
  if (error instanceof Problem && error.status === 409) return SETTLING.moved;
  if (error instanceof NoAnswer && done > 0) return SETTLING.half;
  return sentence(error, SETTLING.notSettled);
}
