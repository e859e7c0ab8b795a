/** The service's routes, one typed function each. */

import type {
  BlockCounts,
  BlockLog,
  BlockShape,
  BlockState,
  Changes,
  Check,
  Crew,
  CrewDay,
  Farm,
  FarmName,
  Habit,
  KeptMark,
  Mark,
  Method,
  Overview,
  Packs,
  Person,
  Receipts,
  Role,
  Season,
  TreeCount,
  UnjudgedCheck,
  Variety,
  Who,
  Withdrawal,
} from "../core/contracts";
import type { BriefVersion } from "../core/brief-contracts";
import type { BlockOrder, Plan, Preview, Taken } from "../core/import-contracts";
import { WIRE_SCHEMA } from "../core/outbox";
import type { BlockLots } from "../core/quality-contracts";
import type { Request } from "./request";

/** Files may be large and planning thousands of rows takes a moment. */
const LONG_LIMIT_MS = 60_000;

/** Records of one kind; `schema` is the wire version they were made under, the present one when not said. */
export type Records = { schema?: number } & (
  | { kind: "marks"; values: Mark[] }
  | { kind: "withdrawals"; values: Withdrawal[] }
  | { kind: "checks"; values: (Check | UnjudgedCheck)[] }
  | { kind: "crew_days"; values: CrewDay[] }
  | { kind: "tree_counts"; values: TreeCount[] }
);

export type Api = ReturnType<typeof apiOf>;

/** Return the routes over a request function. */
export function apiOf(request: Request) {
  const post = <Answer>(path: string, json: unknown, timeLimitMs?: number): Promise<Answer> =>
    request(path, { method: "POST", json, ...(timeLimitMs === undefined ? {} : { timeLimitMs }) });
  const one = encodeURIComponent;
  return {
    who: () => request<Who>("/who"),
    farms: () => request<{ farms: FarmName[] }>("/farms"),
    addFarm: (farm: { name: string; time_zone: string }) => post<FarmName>("/farms", farm),
    farm: (farm: string) => request<Farm>(`/farms/${one(farm)}`),
    /** The farm after something was saved: what this device kept of it is older, so it is not taken for being quicker. */
    farmSaved: (farm: string) => request<Farm>(`/farms/${one(farm)}`),
    correctFarm: (farm: string, json: { name: string; time_zone: string }) =>
      request<FarmName>(`/farms/${one(farm)}`, { method: "PATCH", json }),
    addSeason: (farm: string, season: { name: string; opens_on: string; must_finish_on: string }) =>
      post<Season>(`/farms/${one(farm)}/seasons`, season),
    correctSeason: (farm: string, season: string, json: { name: string; opens_on: string; must_finish_on: string }) =>
      request<Season>(`/farms/${one(farm)}/seasons/${one(season)}`, { method: "PATCH", json }),
    correctCrew: (farm: string, crew: string, json: { name: string; method: Method }) =>
      request<Crew>(`/farms/${one(farm)}/crews/${one(crew)}`, { method: "PATCH", json }),
    renamePerson: (farm: string, person: string, name: string) =>
      request<Person>(`/farms/${one(farm)}/people/${one(person)}`, { method: "PATCH", json: { name } }),
    renameVariety: (farm: string, variety: string, name: string) =>
      request<Variety>(`/farms/${one(farm)}/varieties/${one(variety)}`, { method: "PATCH", json: { name } }),
    addCrew: (farm: string, crew: { name: string; method: Method }) =>
      post<Crew>(`/farms/${one(farm)}/crews`, crew),
    addPerson: (farm: string, person: { name: string; role: Role; crew_id?: string }) =>
      post<Person>(`/farms/${one(farm)}/people`, person),
    addVariety: (farm: string, variety: { name: string; habit: Habit }) =>
      post<Variety>(`/farms/${one(farm)}/varieties`, variety),
    overview: (farm: string, day: string) => request<Overview>(`/farms/${one(farm)}/overview?day=${one(day)}`),
    changes: (farm: string, after: number) =>
      request<Changes>(`/farms/${one(farm)}/changes?after=${after}&limit=200`),
    shape: (block: string, version: string) =>
      request<BlockShape>(`/blocks/${one(block)}/shape?v=${one(version)}`, { cacheable: true }),
    state: (block: string, day: string) => request<BlockState>(`/blocks/${one(block)}/state?day=${one(day)}`),
    marks: (block: string) => request<{ marks: KeptMark[] }>(`/blocks/${one(block)}/marks`),
    handIn: (farm: string, records: Records, sentAt: string) =>
      request<Receipts>(`/farms/${one(farm)}/${records.kind.replace("_", "-")}`, {
        method: "POST",
        json: { sent_at: sentAt, schema: records.schema ?? WIRE_SCHEMA, [records.kind]: records.values },
        waits: true,
      }),
    brief: (block: string) => request<{ brief: BriefVersion | null }>(`/blocks/${one(block)}/brief`),
    lots: (block: string) => request<BlockLots>(`/blocks/${one(block)}/lots`),
    counts: (block: string) => request<BlockCounts>(`/blocks/${one(block)}/counts`),
    log: (block: string) => request<BlockLog>(`/blocks/${one(block)}/log`),
    packs: (farm: string, blocks: readonly string[]) =>
      request<Packs>(`/farms/${one(farm)}/packs?${blocks.map((block) => `block=${one(block)}`).join("&")}`, {
        timeLimitMs: LONG_LIMIT_MS,
      }),
    previewImport: (farm: string, form: FormData) =>
      request<Preview>(`/farms/${one(farm)}/imports`, { method: "POST", form, timeLimitMs: LONG_LIMIT_MS }),
    planImport: (token: string, blocks: BlockOrder[]) =>
      post<Plan>(`/imports/${one(token)}/plan`, { blocks }, LONG_LIMIT_MS),
    takeImport: (token: string, blocks: BlockOrder[], asPlaced: boolean) =>
      post<Taken>(`/imports/${one(token)}/take`, { blocks, as_placed: asPlaced }, LONG_LIMIT_MS),
  };
}
