/** The service's routes of who is who: sign-in, pairing, the holder of a tablet, accounts, tablets, PINs. */

import type { Access, Who } from "../core/contracts";
import { Problem, type Request } from "./request";

export interface NamedPerson {
  id: string;
  name: string;
  has_pin: boolean;
}
export interface Account {
  id: string;
  login: string;
  name: string;
  role: Access;
  crew_id: string | null;
  disabled: boolean;
}
export interface OneTimeLink {
  link: string;
  expires_at: string;
}
export interface PairedTablet {
  id: string;
  name: string;
  role: Access;
  crew_id: string | null;
  paired_at: string;
  last_seen_at: string | null;
  revoked_at: string | null;
  holder_id: string | null;
}
export interface PairCode {
  code: string;
  address: string;
  expires_at: string;
  qr_svg: string;
}
export interface ForTablet {
  name: string;
  role: Access;
  crew_id?: string;
}

export type WhoApi = ReturnType<typeof whoApi>;

/** Return the routes over a request function. */
export function whoApi(request: Request) {
  const send = <Answer>(method: "POST" | "PUT", path: string, json: unknown = {}): Promise<Answer> =>
    request<Answer>(path, { method, json });
  const remove = (path: string): Promise<null> => request<null>(path, { method: "DELETE" });
  const at = (farm: string, rest: string): string => `/farms/${encodeURIComponent(farm)}/${rest}`;
  const one = encodeURIComponent;
  return {
    who: () => request<Who>("/who"),
    firstStart: (first: { token: string; login: string; name: string; password: string }) =>
      send<Who>("POST", "/first-start", first),
    signIn: (login: string, password: string) => send<Who>("POST", "/sign-in", { login, password }),
    signInByLink: (code: string) => send<Who>("POST", "/sign-in/link", { code }),
    signOut: () => send<null>("POST", "/sign-out"),
    confirm: (password: string) => send<null>("POST", "/confirm", { password }),
    changePassword: (old: string | null, fresh: string) => send<null>("POST", "/password", { old, new: fresh }),
    pair: (code: string) => send<Who>("POST", "/pair", { code }),
    holders: () => request<{ people: NamedPerson[] }>("/device/people"),
    takeTablet: (person_id: string, pin: string) => send<Who>("POST", "/device/holder", { person_id, pin }),
    accounts: (farm: string) => request<{ accounts: Account[] }>(at(farm, "accounts")),
    addAccount: (farm: string, account: { login: string; name: string; role: Access; crew_id?: string }) =>
      send<{ account: Account } & OneTimeLink>("POST", at(farm, "accounts"), account),
    newLink: (farm: string, account: string) => send<OneTimeLink>("POST", at(farm, `accounts/${one(account)}/link`)),
    endAccount: (farm: string, account: string) => remove(at(farm, `accounts/${one(account)}`)),
    tablets: (farm: string) => request<{ devices: PairedTablet[] }>(at(farm, "devices")),
    makeCode: (farm: string, tablet: ForTablet) => send<PairCode>("POST", at(farm, "devices/codes"), tablet),
    revoke: (farm: string, tablet: string) => send<null>("POST", at(farm, `devices/${one(tablet)}/revoke`)),
    setPin: (farm: string, person: string, pin: string) =>
      send<null>("PUT", at(farm, `people/${one(person)}/pin`), { pin }),
  };
}

/** Return how many seconds to wait after too many tries, or null when that is not what the service said. */
export function lockedFor_s(error: unknown): number | null {
  if (!(error instanceof Problem) || error.status !== 429) return null;
  return error.retryAfter_s ?? 60; // it always says; without it a minute does no harm
}

/** Tell whether the service answered with this status. */
export function answered(error: unknown, status: number): boolean {
  return error instanceof Problem && error.status === status;
}
