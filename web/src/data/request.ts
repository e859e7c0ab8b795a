/** One request to the service: same origin, a time limit on each, and problems turned into errors that speak. */

import { t } from "../core/language";

/** The service could not be reached, did not answer in time, or somebody in between answered. Nothing is known about what it did. */
export class NoAnswer extends Error {
  override readonly name = "NoAnswer";
}

/** The service answered with a problem (RFC 9457). */
export class Problem extends Error {
  override readonly name = "Problem";
  constructor(
    readonly status: number,
    readonly title: string,
    readonly detail: string,
    readonly where: string,
    readonly todo: string,
    readonly fields: readonly { where: string; what: string }[],
    /** The last part of the problem's type: `sign-in`, `newer-client` ... */
    readonly kind = "",
    /** Seconds to wait as the service asked for, or null when it did not say. */
    readonly retryAfter_s: number | null = null,
  ) {
    super(sentences([where === "" ? detail : `${where}: ${detail}`, todo]));
  }
}

/** Return parts as sentences one after the other; a part without its full stop is given one. */
export function sentences(parts: readonly string[]): string {
  const said = parts.map((part) => part.trim()).filter((part) => part !== "");
  return said.map((part, at) => (at < said.length - 1 && !/[.!?:]$/.test(part) ? `${part}.` : part)).join(" ");
}

const TIME_LIMIT_MS = 10_000;
const READY_LIMIT_MS = 3_000;

export interface RequestOptions {
  method?: "GET" | "POST" | "PUT" | "PATCH" | "DELETE";
  json?: unknown;
  form?: FormData;
  /** A table, sent as it is. */
  csv?: Blob;
  /** A picture, sent as it is. */
  jpeg?: ArrayBuffer;
  timeLimitMs?: number;
  /** The answer may come out of the browser's own cache: it says nothing of whether the service is there. */
  cacheable?: boolean;
  /** What is sent is kept on this device and goes by itself later: nobody need be stopped for it. */
  waits?: boolean;
  /** What is answered is a file and not JSON. */
  file?: boolean;
}
/** Told after each request whether the service answered at all. */
export type Listener = (answered: boolean) => void;
export type Request = <Answer>(path: string, options?: RequestOptions) => Promise<Answer>;

function text(value: unknown): string {
  return typeof value === "string" ? value : "";
}

/** Return the problem in an answer's body; a body that is none still gives a sentence. */
export function problemOf(status: number, statusText: string, body: unknown, retryAfter: string | null = null): Problem {
  const fields = typeof body === "object" && body !== null ? (body as Record<string, unknown>) : {};
  const listed = Array.isArray(fields["errors"]) ? (fields["errors"] as unknown[]) : [];
  const errors = listed.map((entry) => {
    const one = typeof entry === "object" && entry !== null ? (entry as Record<string, unknown>) : {};
    return { where: text(one["where"] ?? one["field"]), what: text(one["what"] ?? one["message"]) };
  });
  const title = text(fields["title"]) || statusText || t("Answer {status}", { status });
  const kind = text(fields["type"]).replace(/^.*[:/]/, "");
  const wait = retryAfter !== null && /^\d{1,6}$/.test(retryAfter.trim()) ? Number(retryAfter) : null;
  const detail = text(fields["detail"]) || title;
  return new Problem(status, title, detail, text(fields["where"]), text(fields["todo"]), errors, kind, wait);
}

/** Return what an answer says. All of ours is JSON: anything else is the page of a proxy or of a network that wants a sign-in. */
async function contentOf(answer: Response): Promise<unknown> {
  if (answer.status === 204) return null; // it may still name a type
  if (!/json/.test(answer.headers.get("Content-Type") ?? "")) throw new TypeError(`Answer ${answer.status} is not JSON.`);
  return answer.json();
}

function typeOf({ json, csv, jpeg }: RequestOptions): Record<string, string> {
  if (json !== undefined) return { "Content-Type": "application/json" };
  if (csv !== undefined) return { "Content-Type": "text/csv" };
  return jpeg === undefined ? {} : { "Content-Type": "image/jpeg" };
}

/** Return the function that asks the service. `tell` hears whether it answered. */
export function requester(tell: Listener, fetcher: typeof fetch = (...args) => fetch(...args)): Request {
  return async <Answer>(path: string, options: RequestOptions = {}): Promise<Answer> => {
    const giveUp = new AbortController();
    const timer = setTimeout(() => giveUp.abort(), options.timeLimitMs ?? TIME_LIMIT_MS);
    try {
      const answer = await fetcher(`/api${path}`, {
        method: options.method ?? "GET",
        signal: giveUp.signal,
        headers: typeOf(options),
        ...(options.json === undefined ? {} : { body: JSON.stringify(options.json) }),
        ...(options.form === undefined ? {} : { body: options.form }),
        ...(options.csv === undefined ? {} : { body: options.csv }),
        ...(options.jpeg === undefined ? {} : { body: options.jpeg }),
      });
      if (options.file === true && answer.ok) {
        const file = await answer.blob();
        tell(true);
        return file as Answer;
      }
      const body = await contentOf(answer);
      if (options.cacheable !== true) tell(true);
      if (!answer.ok) {
        throw problemOf(answer.status, answer.statusText, body, answer.headers.get("Retry-After"));
      }
      return body as Answer;
    } catch (error) {
      if (error instanceof Problem) throw error;
      tell(false);
      throw new NoAnswer("The service did not answer.", { cause: error });
    } finally {
      clearTimeout(timer);
    }
  };
}

/** Tell whether the service is up and can reach its store. */
export async function isReady(fetcher: typeof fetch = (...args) => fetch(...args)): Promise<boolean> {
  try {
    const answer = await fetcher("/readyz", { signal: AbortSignal.timeout(READY_LIMIT_MS) });
    const said = await contentOf(answer);
    return answer.ok && typeof said === "object" && said !== null && "status" in said && said.status === "ready";
  } catch {
    return false;
  }
}

/** Return the sentence to show for anything that was thrown by a request. */
export function sentence(error: unknown, noAnswer: string): string {
  if (error instanceof NoAnswer) return noAnswer;
  if (error instanceof Problem) {
    const fields = error.fields.map((field) => (field.where === "" ? field.what : `${field.where}: ${field.what}`));
    return sentences([error.message, ...fields]);
  }
  return error instanceof Error ? error.message : String(error);
}
