/** The draft that is being edited: what it says now, what the service says of it, and whether it is saved. */

import type { BriefContent, BriefVersion, VersionHead, WrittenBrief } from "../../core/brief-contracts";
import { placedProblems, type PlacedProblem } from "../../core/brief-problems";
import type { BriefsApi } from "../../data/briefs-api";
import { draftSavingOf, type DraftSaving, type SavingState } from "../../data/draft-saving";
import type { UnsavedDrafts } from "../../data/unsaved-drafts";

export interface Desk {
  readonly farm: string;
  readonly brief: string;
  content(): BriefContent;
  versions(): readonly VersionHead[];
  /** What crews go by, or null where nothing was published. */
  latest(): BriefVersion | null;
  /** Return what a point was heard to say, limits filled in, or null before the service has seen it. */
  said(key: string, language: string): string | null;
  problems(): readonly PlacedProblem[];
  saving: DraftSaving;
  state(): SavingState;
  /** Put parts of the content in place of what is there, and save them in a moment. */
  change(part: Partial<BriefContent>): void;
  /** Hear whenever anything of it is another. */
  listen(draw: () => void): void;
  /** Read the versions, and what the service says of the draft, again. */
  readAgain(): Promise<WrittenBrief>;
  /** Save over what somebody else saved meanwhile. */
  saveOver(): Promise<boolean>;
  /** Drop what is not saved. */
  forget(): void;
  /** Save what can be saved; the rest is kept in this browser and taken up when the brief is opened again. */
  leave(): void;
  /** Whether this was taken up from what was not saved last time. */
  isTakenUp: boolean;
  /** Who saved meanwhile, by name; empty until that is known. */
  savedBy(): string;
}
export interface DeskTools {
  api: BriefsApi;
  farm: string;
  written: WrittenBrief;
  unsaved: UnsavedDrafts;
}

/** Return the desk. */
export function deskOf({ api, farm, written, unsaved }: DeskTools): Desk {
  const listeners = new Set<() => void>();
  const left = unsaved.read();
  let { draft, versions, latest } = written;
  let isLeft = false;
  let content = left?.content ?? draft.content;
  const tell = (): void => listeners.forEach((draw) => draw());
  const hear = (now: WrittenBrief): WrittenBrief => {
    ({ draft, versions, latest } = now);
    tell();
    return now;
  };
  const readAgain = async (): Promise<WrittenBrief> => hear(await api.brief(farm, written.id));
  let savedBy = "";
  const hearOther = (now: WrittenBrief): void => {
    savedBy = now.draft.saved_by;
    tell();
  };
  const saving = draftSavingOf({
    revision: left?.revision ?? draft.revision,
    save: (revision, now) => api.saveDraft(farm, written.id, revision, now),
    told(state, saved) {
      if (saved !== null) {
        unsaved.forget(saved);
        // what is wrong with it is only an aid: the next save asks again
        if (!isLeft) void readAgain().catch(() => undefined);
      } else if (!isLeft) keep();
      if (state.is === "behind" && !isLeft) void api.brief(farm, written.id).then(hearOther, () => undefined);
      tell();
    },
  });
  const keep = (): void => unsaved.keep({ revision: saving.revision(), content });
  const change = (part: Partial<BriefContent>): void => {
    content = { ...content, ...part };
    keep();
    saving.change(content);
    tell();
  };
  if (left !== null) saving.change(content);
  return {
    farm,
    brief: written.id,
    content: () => content,
    versions: () => versions,
    latest: () => latest,
    said(key, language) {
      const at = draft.content.points.findIndex((point) => point.key === key);
      return draft.texts[language]?.points[at] ?? null;
    },
    problems: () => placedProblems(draft.problems, draft.content),
    saving,
    state: () => saving.state(),
    change,
    listen: (draw) => void listeners.add(draw),
    readAgain,
    saveOver: async () => saving.saveOver((await readAgain()).draft.revision),
    forget: () => unsaved.forget(),
    leave() {
      isLeft = true;
      void saving.flush();
      saving.close();
    },
    isTakenUp: left !== null,
    savedBy: () => savedBy,
  };
}
