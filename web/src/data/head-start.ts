/** What the first screen asks of the service, asked while its code is still on the way: who is here, then at once the farm and its overview. */

export interface HeadStartTools {
  fetch: typeof fetch;
  now(): number;
}
export interface HeadStart {
  /** Ask; `path` is the address's, `farm` the one that was shown last. */
  begin(path: string, query: string, farm: string | null): void;
  /**
   * As `fetch`, which it is but for what was asked already: that answer is handed out, once, and only while the page has changed
   * nothing. What is asked for before the head start comes to it is not asked a second time: nobody would take that answer.
   */
  fetch: typeof fetch;
}
interface WhoTold {
  farms?: readonly { id: string; today: string; role: string }[];
}
/** An answer that nobody wanted by then tells how things were. */
const FRESH_MS = 5_000;
const WHO = "/api/who";

/** Return the head start. */
export function headStartOf(tools: HeadStartTools): HeadStart {
  const started = new Map<string, { answer: Promise<Response>; at: number }>();
  /** What the page asked by itself; null once it changed something, for nothing asked before that is true after it. */
  let asked: Set<string> | null = new Set();
  const ask = (path: string): Promise<Response> => {
    const answer = tools.fetch(path);
    answer.catch(() => undefined); // whoever wants it hears of it
    started.set(path, { answer, at: tools.now() });
    return answer;
  };
  const goOn = async (answer: Response, isOverview: boolean, last: string | null): Promise<void> => {
    if (!answer.ok) return;
    const { farms = [] } = (await answer.clone().json()) as WhoTold;
    const farm = farms.find(({ id }) => id === last) ?? farms[0];
    if (farm === undefined) return;
    const of = `/api/farms/${encodeURIComponent(farm.id)}`;
    const wanted = isOverview && farm.role !== "foreman" ? [of, `${of}/overview?day=${encodeURIComponent(farm.today)}`] : [of];
    for (const path of wanted) if (asked?.has(path) === false) void ask(path);
  };
  return {
    begin(path, query, farm) {
      const isOverview = path === "/" && !/[?&]day=/.test(query);
      void ask(WHO).then((answer) => goOn(answer, isOverview, farm)).catch(() => undefined);
    },
    fetch(input, init) {
      const path = typeof input === "string" ? input : "";
      const isQuestion = (init?.method ?? "GET") === "GET";
      if (!isQuestion) {
        started.clear();
        asked = null;
      }
      asked?.add(path);
      const found = started.get(path);
      if (found === undefined) return tools.fetch(input, init);
      started.delete(path);
      if (tools.now() - found.at > FRESH_MS) return tools.fetch(input, init);
      return Promise.race([found.answer, abortOf(init?.signal)]);
    },
  };
}

/** Return what ends the wait when whoever asks gives up. */
function abortOf(signal: AbortSignal | null | undefined): Promise<never> {
  return new Promise((_, refuse) => signal?.addEventListener("abort", () => refuse(signal.reason), { once: true }));
}

/** The one of this page. */
export const headStart = headStartOf({ fetch: (...args) => fetch(...args), now: () => performance.now() });
