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

interface Kept extends UnsavedDraft {
  /** The page that it was written on; what older pages kept names none. */
  page?: string;
}

/**
 * Return what is kept of a brief for who writes it. Where storage is refused nothing is, and the page says what is unsaved.
 * Each page keeps its own words, for a second window on the same brief must not put its own in their place; what is read
 * is the page's own from then on.
 */
export function unsavedDraftsOf(shelf: Shelf, login: string, brief: string, page: string): UnsavedDrafts {
  const key = `orchardmap.draft.${login}.${brief}`;
  let own: readonly (string | undefined)[] = [page];
  const tried = <Answer>(what: () => Answer): Answer | null => {
    try {
      return what();
    } catch {
      return null; // full, refused, or not what was written here
    }
  };
  const all = (): Kept[] => {
    const found = tried(() => JSON.parse(shelf.getItem(key) ?? "[]") as Kept[] | Kept) ?? [];
    return Array.isArray(found) ? found : [found];
  };
  const put = (kept: readonly Kept[]): void =>
    void tried(() => (kept.length === 0 ? shelf.removeItem(key) : shelf.setItem(key, JSON.stringify(kept))));
  const others = (): Kept[] => all().filter((one) => !own.includes(one.page));
  return {
    read() {
      const [first] = all();
      if (first === undefined) return null;
      own = [page, first.page];
      return { revision: first.revision, content: first.content };
    },
    keep: ({ revision, content }) => put([...others(), { revision, content, page }]),
    forget(saved) {
      const said = JSON.stringify(saved);
      put(saved === undefined ? others() : all().filter(({ content }) => JSON.stringify(content) !== said));
    },
  };
}
