/** What a failed upload means for what waits: wait, pair again, take records out, or cut the upload smaller. */

/** Why nothing goes at the moment. */
export type Hindrance = "no_answer" | "trouble" | "sign_in" | "revoked" | "not_allowed" | "unconfirmed" | "newer";
export type Course =
  | { do: "wait"; because: Hindrance; after_s: number | null }
  /** One or more records are bad: those that the answer names, else half of the upload until one is left. */
  | { do: "sift" };

export interface Failure {
  status: number;
  kind: string;
  retryAfter_s: number | null;
}

/** Kinds of problem that are about what was sent. */
const RECORD_PROBLEMS: ReadonlySet<string> = new Set(["request", "record", "input"]);

/** Return the course after a failure; null is no answer at all. No course removes anything. */
export function courseAfter(failure: Failure | null): Course {
  if (failure === null) return { do: "wait", because: "no_answer", after_s: null };
  const { status, kind, retryAfter_s } = failure;
  const wait = (because: Hindrance): Course => ({ do: "wait", because, after_s: retryAfter_s });
  if (status === 401) return wait(kind === "revoked-device" ? "revoked" : "sign_in");
  if (kind === "unconfirmed" || kind === "no-password") return wait("unconfirmed");
  // 404: the farm is unknown to whoever asks, so the way in is wrong and not the records
  if (status === 403 || status === 404) return wait("not_allowed");
  if (status === 426) return wait("newer");
  // only an answer that speaks of the records may cost one its place in the queue; a refusal of the whole request (another
  // host name, a proxy's page, a moved service) says nothing of them
  const ofRecords = (status === 400 || status === 422) && RECORD_PROBLEMS.has(kind);
  return ofRecords || status === 413 ? { do: "sift" } : wait("trouble");
}
