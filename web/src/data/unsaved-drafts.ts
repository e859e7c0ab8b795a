/** What was written into a draft and not saved yet: kept in this browser until it is, so that no words are lost with the page. */

import type { BriefContent } from "../core/brief-contracts";
import type { Shelf } from "./device";

export interface UnsavedDraft {
  /** That it was made from. */
  revision: number;
  content: BriefContent;
}
export interface UnsavedDrafts {
  read(): UnsavedDraft | null;
  keep(draft: UnsavedDraft): void;
  /** Forget what is kept; with a content, only when it is that. */
  forget(saved?: BriefContent): void;
}

/** Return what is kept of a brief for who writes it. Where storage is refused nothing is, and the page says what is unsaved. */
export function unsavedDraftsOf(shelf: Shelf, login: string, brief: string): UnsavedDrafts {
  const key = `orchardmap.draft.${login}.${brief}`;
  const tried = <Answer>(what: () => Answer): Answer | null => {
    try {
      return what();
    } catch {
      return null; // full, refused, or not what was written here
    }
  };
  const read = (): UnsavedDraft | null => tried(() => JSON.parse(shelf.getItem(key) ?? "null") as UnsavedDraft | null);
  return {
    read,
    keep: (draft) => void tried(() => shelf.setItem(key, JSON.stringify(draft))),
    forget(saved) {
      if (saved === undefined || JSON.stringify(read()?.content) === JSON.stringify(saved)) void tried(() => shelf.removeItem(key));
    },
  };
}
