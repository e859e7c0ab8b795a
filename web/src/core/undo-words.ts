/** What the buttons say that undo the last touches: no two of them the same. */

import { rowsOf, type Action } from "./block-marks";
import { ROWS } from "./rows-wording";
import { numbersText } from "./several-rows";

export interface UndoWords {
  words: string;
  /** For whoever hears the button; it begins with the words that are seen. */
  label: string;
}

/** Return the words of each action; `otherBlock` is the code of another block than the one shown, else null. */
export function undoWords(actions: readonly Action[], otherBlock: (id: string) => string | null): UndoWords[] {
  const rowIn = ({ block, marks }: Action): string => JSON.stringify([block, rowsOf(marks)]);
  return actions.map((action) => {
    const rows = rowsOf(action.marks);
    const code = otherBlock(action.block);
    const isTwice = actions.some((other) => other !== action && rowIn(other) === rowIn(action));
    const parts = isTwice ? action.marks.map(({ first, last }) => ROWS.part(first, last)).join(", ") : "";
    const text = rows.length === 1 ? ROWS.undo(rows[0] ?? 0) : ROWS.undoRows(rows.length);
    const words = [code === null ? text : ROWS.inBlock(text, code), parts].filter((part) => part !== "").join(", ");
    return { words, label: rows.length === 1 ? words : ROWS.undoLabel(words, numbersText(rows)) };
  });
}
