/** The service's routes of briefs, and of what there is to make one from. */

import type { CalcAnswer, CalcJob } from "../core/brief-calc";
import type {
  BriefContent,
  BriefDifference,
  BriefLine,
  BriefStart,
  BriefSubject,
  Cultivar,
  Point,
  ReadyMadeBriefs,
  SaidBrief,
  TrainingSystem,
  VersionHead,
  WrittenBrief,
} from "../core/brief-contracts";
import type { Habit, Variety } from "../core/contracts";
import type { Request } from "./request";

export type CardSize = "a4" | "a5";
export interface CardWish {
  language: string;
  size: CardSize;
  /** Id of a block that the brief is for; none for a card of all of them. */
  block?: string;
}
export type BriefsApi = ReturnType<typeof briefsApi>;

/** Paper takes the service a while. */
const CARD_LIMIT_MS = 30_000;
const one = encodeURIComponent;

/** Return the address of a point's drawing with its limits. */
export function pictureAddress({ picture, low, high }: Pick<Point, "picture" | "low" | "high">, language: string): string {
  const limits = [["low", low], ["high", high]].flatMap(([name, limit]) => (limit === null ? [] : [`${name}=${limit}`]));
  return `/api/pictures/${one(picture)}?${[...limits, `language=${one(language)}`].join("&")}`;
}

/** Return the address of a card to print: of a version, or of the draft where none is named; with a block that block's dangers stand on it. */
export function cardAddress(farm: string, brief: string, version: number | null, { size, language, block = "" }: CardWish): string {
  const which = version === null ? "draft" : `versions/${version}`;
  return `/api/farms/${one(farm)}/briefs/${one(brief)}/${which}/card?size=${size}&language=${one(language)}${block === "" ? "" : `&block_id=${one(block)}`}`;
}

/** Return the routes over a request function. */
export function briefsApi(request: Request) {
  const at = (farm: string, rest: string): string => `/farms/${one(farm)}/${rest}`;
  const post = <Answer>(path: string, json: unknown): Promise<Answer> => request<Answer>(path, { method: "POST", json });
  return {
    briefs: (farm: string, season?: string) =>
      request<{ briefs: BriefLine[] }>(at(farm, `briefs${season === undefined ? "" : `?season=${one(season)}`}`)),
    brief: (farm: string, brief: string) => request<WrittenBrief>(at(farm, `briefs/${one(brief)}`)),
    make: (farm: string, season_id: string, subject: BriefSubject, start: BriefStart) =>
      post<{ id: string }>(at(farm, "briefs"), { season_id, ...subject, ...start }),
    copySeason: (farm: string, from_season_id: string, season_id: string) =>
      post<{ briefs: { id: string }[] }>(at(farm, "brief-copies"), { from_season_id, season_id }),
    saveDraft: (farm: string, brief: string, revision: number, content: BriefContent) =>
      request<{ revision: number }>(at(farm, `briefs/${one(brief)}/draft`), { method: "PUT", json: { revision, content } }),
    publish: (farm: string, brief: string, revision: number) =>
      post<VersionHead>(at(farm, `briefs/${one(brief)}/versions`), { revision }),
    version: (farm: string, brief: string, version: number) =>
      request<SaidBrief>(at(farm, `briefs/${one(brief)}/versions/${version}`), { cacheable: true }),
    /** From a version to another one, or to the draft where none is named. */
    differences: (farm: string, brief: string, old: number, fresh: number | null) =>
      request<{ differences: BriefDifference[] }>(
        at(farm, `briefs/${one(brief)}/differences?old=${old}${fresh === null ? "" : `&new=${fresh}`}`),
      ),
    readyMade: (is_heavy_setter: boolean, system: TrainingSystem) =>
      request<ReadyMadeBriefs>(`/ready-made-briefs?is_heavy_setter=${is_heavy_setter}&system=${system}`),
    cultivars: () => request<{ cultivars: Cultivar[] }>("/cultivars"),
    addVariety: (farm: string, variety: { name: string; habit: Habit; habit_source: string }) =>
      post<Variety>(at(farm, "varieties"), variety),
    changeVariety: (farm: string, variety: string, json: { habit: Habit; habit_source: string }) =>
      request<Variety>(at(farm, `varieties/${one(variety)}`), { method: "PATCH", json }),
    cropLoad: (job: CalcJob) => post<CalcAnswer>("/calc/crop-load", job),
    /** Return the card of a content as an HTML document. */
    card: async (farm: string, content: BriefContent, title: string, wish: CardWish): Promise<string> => {
      const options = { method: "POST", json: { content, title, ...wish }, file: true, timeLimitMs: CARD_LIMIT_MS } as const;
      return (await request<Blob>(at(farm, "card-preview"), options)).text();
    },
  };
}
