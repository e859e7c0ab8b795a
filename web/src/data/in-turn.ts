/** Questions that take the service a while, a few at a time: a browser opens six connections to a host, and short questions must find one free. */

import type { Request } from "./request";

/** Return a way to ask that leaves at most so many unanswered; the others wait in the order in which they came. */
export function inTurn(request: Request, atOnce: number): Request {
  const waiting: (() => void)[] = [];
  let running = 0;
  return async <Answer>(...asked: Parameters<Request>): Promise<Answer> => {
    if (running >= atOnce) await new Promise<void>((go) => waiting.push(go));
    else running += 1;
    try {
      return await request<Answer>(...asked);
    } finally {
      const next = waiting.shift();
      // whoever is next takes this one's place
      if (next === undefined) running -= 1;
      else next();
    }
  };
}
