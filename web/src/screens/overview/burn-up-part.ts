/** The burn-up of what is looked at: what is pruned, what may come, and last season by the same calendar days. */

import type { BurnUpPart, Forecast } from "../../core/forecast-contracts";
import { GLANCE } from "../../core/glance-wording";
import { soFar, yearsOn, type DayTotal, type Part, type SeasonDays } from "../../core/season-days";
import { h } from "../../ui/dom";
import { burnUpFigure, type BurnUpTold } from "../forecast/burn-up-figure";

export interface BurnUpDrawn {
  day: string;
  /** Trees of the blocks that are looked at. */
  trees: number;
  part: Part;
  season: SeasonDays | null;
  before: SeasonDays | null;
  /** As of the day, where it rests there and an answer came. */
  told: Forecast | BurnUpPart | null;
}

function yearsBetween(from: SeasonDays, to: SeasonDays): number {
  return Number(to.season.must_finish_on.slice(0, 4)) - Number(from.season.must_finish_on.slice(0, 4));
}

/** Return the figure; nothing where no day is known. */
export function burnUpPart({ day, trees, part, season, before, told }: BurnUpDrawn): HTMLElement | null {
  const burnup: DayTotal[] = season === null ? (told?.burnup ?? []) : soFar(season, day, part);
  const pruned = burnup.at(-1)?.[1] ?? 0;
  // what comes is told of blocks, whoever prunes them: beside one crew's trees it would be another thing
  const fan = part.crew === null ? (told?.fan ?? []) : [];
  const drawn: BurnUpTold = {
    day,
    trees,
    pruned,
    burnup,
    fan,
    straight_line: null,
    must_finish_on: season?.season.must_finish_on ?? told?.must_finish_on ?? null,
    finish: part.crew === null ? (told?.finish ?? null) : null,
  };
  const earlier = season === null || before === null ? [] : yearsOn(soFar(before, "9999", part), yearsBetween(before, season));
  const figure = burnUpFigure(drawn, earlier);
  if (part.crew !== null) figure?.append(h("p", { class: "forecast-small" }, GLANCE.noFan));
  return figure;
}
