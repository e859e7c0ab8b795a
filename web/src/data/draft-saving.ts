/** Saves a draft by itself a moment after each change, one save after the other, each on the revision that it was made from. */

import type { BriefContent } from "../core/brief-contracts";
import { NoAnswer, Problem } from "./request";

/** How the draft stands: `behind` when somebody else saved meanwhile. */
export type SavingState =
  | { is: "saved" | "unsaved" | "saving" | "waiting" }
  | { is: "behind" | "refused"; error: Problem };

export interface DraftSaving {
  /** The draft says something else now. */
  change(content: BriefContent): void;
  /** Save now what is not saved; true when all is saved afterwards. */
  flush(): Promise<boolean>;
  state(): SavingState;
  /** Of what was saved last. */
  revision(): number;
  /** Go on from a revision that somebody else saved, over it. */
  saveOver(revision: number): Promise<boolean>;
  /** Try no more by itself: the page is left. */
  close(): void;
}
export interface SavingTools {
  revision: number;
  save(revision: number, content: BriefContent): Promise<{ revision: number }>;
  /** Told of each new state; with `saved` comes what was saved. */
  told(state: SavingState, saved: BriefContent | null): void;
  wait_ms?: number;
  again_ms?: number;
}

const WAIT_MS = 900;
const AGAIN_MS = 5_000;

/** Return the saving of one draft. */
export function draftSavingOf({ revision: first, save, told, wait_ms = WAIT_MS, again_ms = AGAIN_MS }: SavingTools): DraftSaving {
  let revision = first;
  let unsaved: BriefContent | null = null;
  let state: SavingState = { is: "saved" };
  let running: Promise<void> | null = null;
  let isClosed = false;
  let timer: ReturnType<typeof setTimeout> | undefined;

  const become = (now: SavingState, saved: BriefContent | null = null): void => {
    state = now;
    told(now, saved);
  };
  const soon = (ms: number): void => {
    clearTimeout(timer);
    if (isClosed) return;
    timer = setTimeout(() => void flush(), ms);
  };
  const fail = (error: unknown): void => {
    if (error instanceof Problem && error.status < 500) return become({ is: error.status === 409 ? "behind" : "refused", error });
    if (!(error instanceof Problem) && !(error instanceof NoAnswer)) throw error;
    become({ is: "waiting" });
    soon(again_ms);
  };
  const run = async (): Promise<void> => {
    while (unsaved !== null) {
      const content = unsaved;
      become({ is: "saving" });
      try {
        revision = (await save(revision, content)).revision;
      } catch (error) {
        return fail(error);
      }
      if (unsaved === content) unsaved = null;
      if (unsaved === null) become({ is: "saved" }, content);
    }
  };
  const flush = async (): Promise<boolean> => {
    clearTimeout(timer);
    if (state.is !== "behind") {
      running ??= run().finally(() => {
        running = null;
      });
      await running;
    }
    return unsaved === null;
  };
  return {
    change(content) {
      unsaved = content;
      if (state.is === "behind") return; // nothing is saved over somebody else's words unasked
      if (running === null) {
        become({ is: "unsaved" });
        soon(wait_ms);
      }
    },
    flush,
    state: () => state,
    revision: () => revision,
    close() {
      isClosed = true;
      clearTimeout(timer);
    },
    saveOver(now) {
      revision = now;
      become({ is: "unsaved" });
      return flush();
    },
  };
}
