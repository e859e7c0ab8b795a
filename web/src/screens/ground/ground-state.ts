/** Edits of one block that are not taken yet: each is tried by the service at once, and the last one can be undone. */

import type { BlockGround, GroundBody, GroundDifference, GroundEdit, GroundRow } from "../../core/ground-contracts";

type Without<Edit> = Edit extends unknown ? Omit<Edit, "block"> : never;
/** An edit of the block that is open. */
export type Wish = Without<GroundEdit>;

export interface GroundDesk {
  /** As it is kept. */
  readonly base: BlockGround;
  /** As it would be; null where the block would be gone. */
  readonly ground: BlockGround | null;
  /** How many steps are not taken yet. */
  readonly steps: number;
  readonly found: GroundDifference | null;
  readonly isTrying: boolean;
  row(number: number): GroundRow | null;
  edit(wish: Wish, others?: Readonly<Record<string, string>>): void;
  /** Several edits that are tried together, and undone together. */
  editAll(wishes: readonly Wish[]): void;
  undo(): void;
  discard(): void;
  /** Remember what is not taken yet, for when the block is opened again on this page. */
  keep(): void;
  /** The body that takes what was tried. */
  body(): GroundBody;
}
export interface DeskTools {
  preview(body: GroundBody): Promise<GroundDifference>;
  freshId(): string;
  /** Something changed: draw anew. */
  changed(): void;
  failed(error: unknown): void;
  /** What was left untaken is of no use: the block is another one by now. */
  lost?(): void;
}

const CALM_MS = 250;

/** What was done at once, and is undone at once. */
type Step = readonly GroundEdit[];

/** Return the steps with one more; of counts of one row in succession the last one says it all. */
export function withStep(steps: readonly Step[], step: Step): Step[] {
  const [edit, last] = [step.length === 1 ? step[0] : undefined, steps.at(-1)];
  const [before] = last?.length === 1 ? last : [];
  const again = edit?.kind === "count-row" && before?.kind === "count-row" && before.row === edit.row;
  return [...(again ? steps.slice(0, -1) : steps), step];
}

/** What was left untaken on a block, and what it was made from. */
const left = new Map<string, { version: string; steps: readonly Step[]; seen: Readonly<Record<string, string>> }>();

/** Return the desk of a block, with what was left untaken when it was last shown. */
export function groundDesk(base: BlockGround, tools: DeskTools): GroundDesk {
  let steps: readonly Step[] = [];
  /** The last steps that the service could make sense of, and what came of them. */
  let good: { steps: readonly Step[]; found: GroundDifference | null } = { steps: [], found: null };
  let seen: Record<string, string> = { [base.id]: base.version };
  let counted: GroundRow | null = null;
  let id = tools.freshId();
  let asked = 0;
  let timer: ReturnType<typeof setTimeout> | undefined;
  let isTrying = false;

  const tried = async (): Promise<void> => {
    asked += 1;
    const mine = asked;
    isTrying = steps.length > 0;
    if (!isTrying) good = { steps: [], found: null };
    tools.changed();
    if (!isTrying) return;
    try {
      const found = await tools.preview(body());
      if (mine !== asked) return;
      good = { steps, found };
    } catch (error) {
      if (mine !== asked) return;
      steps = good.steps;
      tools.failed(error);
    }
    counted = null;
    isTrying = false;
    tools.changed();
  };
  const set = (next: readonly Step[], calm = false): void => {
    steps = next;
    id = tools.freshId(); // another list is another change
    clearTimeout(timer);
    if (calm) {
      asked += 1; // what is on its way is old
      isTrying = true;
      tools.changed();
      timer = setTimeout(() => void tried(), CALM_MS);
    } else void tried();
  };
  const body = (): GroundBody => ({ id, edits: steps.flat(), seen });
  const ground = (): BlockGround | null => {
    const found = good.found?.blocks.find((one) => one.id === base.id);
    const now = found === undefined ? base : found.ground;
    if (now === null || counted === null) return now;
    const fresh = counted;
    return { ...now, rows: now.rows.map((row) => (row.number === fresh.number ? fresh : row)) };
  };
  const before = left.get(base.id);
  left.delete(base.id);
  if (before !== undefined && before.version === base.version) {
    seen = { ...before.seen };
    queueMicrotask(() => set(before.steps));
  } else if (before !== undefined) queueMicrotask(() => tools.lost?.());
  return {
    base,
    get ground() {
      return ground();
    },
    get steps() {
      return steps.length;
    },
    get found() {
      return good.found;
    },
    get isTrying() {
      return isTrying;
    },
    row: (number) => ground()?.rows.find((row) => row.number === number) ?? null,
    edit(wish, others = {}) {
      seen = { ...seen, ...others };
      const edit = { ...wish, block: base.id } as GroundEdit;
      const row = edit.kind === "count-row" ? (ground()?.rows.find(({ number }) => number === edit.row) ?? null) : null;
      if (row !== null && edit.kind === "count-row") {
        // quick fingers need not wait for the service to see what they turned
        const { blanks, pollinizers, counted_positions } = edit;
        const byRule = row.part_positions.reduce((sum, one) => sum + one, 0);
        const positions = counted_positions ?? byRule;
        counted = { ...row, blanks, pollinizers, counted_positions, positions, trees: positions - blanks.length - pollinizers.length };
      }
      set(withStep(steps, [edit]), row !== null);
    },
    editAll(wishes) {
      set(withStep(steps, wishes.map((wish) => ({ ...wish, block: base.id }) as GroundEdit)));
    },
    undo() {
      counted = null;
      set(steps.slice(0, -1));
    },
    discard() {
      counted = null;
      set([]);
    },
    keep() {
      if (steps.length > 0) left.set(base.id, { version: base.version, steps, seen });
    },
    body,
  };
}
