/** The overview: three figures in words, the map, what needs the manager, the burn-up, the blocks; of any day, crew and variety. */

import type { Overview } from "../../core/contracts";
import { CHOICE } from "../../core/glance-wording";
import { glanceOf, isNewer, isWhole, onDay, partOf, withMarks, type Chosen, type Glance, type PrunedNow } from "../../core/glance";
import { dayText } from "../../core/numbers";
import { OVERVIEW } from "../../core/overview-wording";
import { addressOf } from "../../core/place";
import { lastDay, type SeasonDays } from "../../core/season-days";
import { beforeAll } from "../../core/season-spans";
import { seasonOn } from "../../core/seasons";
import { roleAt } from "../../core/who";
import { SHELL } from "../../core/wording";
import { sentence } from "../../data/request";
import { fill, h } from "../../ui/dom";
import { emptyState, notice } from "../../ui/notice";
import { settle } from "../../ui/settling";
import type { Context, Screen } from "../context";
import { beforeWords } from "./before";
import { blocksTable } from "./blocks-table";
import { choiceFields, type ChosenIds } from "./choice";
import { daySlider, sliderSpan } from "./day-slider";
import { figures } from "./figures";
import { tellFinish, tellPartFinish } from "./finish-figure";
import { lookOf, mapFrame, type MapFrame } from "./map-frame";
import { lookedAt, needsYou } from "./needs-you";
import "./overview.css";
import { longQuestions, NOTHING_TOLD, readingsOf, type Told } from "./readings";
import { noCostWords, tableLines } from "./table-lines";

/** Return what the address asks for, as far as the farm has it. */
function askedFor({ place, farm }: Context): { ids: ChosenIds; isUnknown: boolean } {
  const crew = farm.crews.find(({ id }) => id === place.crew)?.id ?? null;
  const variety = farm.varieties.find(({ id }) => id === place.variety)?.id ?? null;
  return { ids: { crew, variety }, isUnknown: (place.crew ?? null) !== crew || (place.variety ?? null) !== variety };
}

const WHOLE_AFTER_MS = 5_000;
const WHOLE_AT_LAST_MS = 30_000;

/** Show the overview. */
export const showOverview: Screen = (root, context) => {
  const { farm } = context;
  const { alone, reckoned } = longQuestions(context.request);
  const readings = readingsOf(context, reckoned, alone);
  const { ids, isUnknown } = askedFor(context);
  let chosenIds = ids;
  const refusal = (of: string): string => {
    const first = beforeAll(farm.seasons, of, farm.today);
    return first === null ? "" : OVERVIEW.tooEarly(first.name, first.opens_on);
  };
  const asked = context.place.day ?? farm.today;
  const refused = refusal(asked);
  let day = asked < farm.today && refused === "" ? asked : farm.today;
  let drawn: Overview | null = null;
  let season: SeasonDays | null = null;
  let before: SeasonDays | null = null;
  let map: MapFrame | null = null;
  let left = false;
  let visit = 0;
  let reads = 0;
  let isReading = false;
  let isCatching = false;
  let isBehind = false;
  let newest: PrunedNow | null = null;
  let told: Told = NOTHING_TOLD;
  let whole: number | undefined;
  let wholeBy = 0;
  let needsOf = "";
  const isManager = roleAt(context.who, farm.id) === "manager";

  const table = blocksTable(context);
  const top = h("div", { class: "figures" });
  const needs = h("div", { class: "needs-box" });
  const burnUp = h("div", { class: "overview-burn-up" });
  const away = h("div", {});
  const mapBox = h("div", { class: "map-box" });
  const body = h("div", { class: "overview-body" }, h("p", {}, SHELL.loading));
  const said = notice();
  const slider = daySlider(farm.today, day, refusal, {
    pass(to) {
      day = to;
      if (drawn !== null && season !== null) drawPassing(onDay(drawn, to, season));
    },
    rest(to) {
      day = to;
      void read();
    },
  });
  const choice = choiceFields(farm, ids, (now) => {
    chosenIds = now;
    said.say("");
    keepAddress();
    if (drawn !== null) drawRest(drawn);
  });
  const bar = h("div", { class: "overview-bar" }, slider.box, choice);

  const seasonId = (of: string): string | null => seasonOn(farm.seasons, of)?.id ?? null;
  const crewName = (): string => farm.crews.find(({ id }) => id === chosenIds.crew)?.name ?? "";
  const chosen = (): Chosen => ({ crew: chosenIds.crew, variety: farm.varieties.find(({ id }) => id === chosenIds.variety)?.name ?? null });
  const keepAddress = (): void => {
    const { crew, variety } = chosenIds;
    context.place = { screen: "overview", block: null, ...(crew && { crew }), ...(variety && { variety }), ...(day !== farm.today && { day }) };
    history.replaceState(null, "", addressOf(context.place));
  };

  /** Draw what the overview and the days at hand tell; the rest follows when it comes. */
  const drawGlance = (glance: Glance, passes: boolean, finish: (words: HTMLElement) => void): void => {
    const when = glance.day === farm.today ? "" : dayText(glance.day);
    const [of, part] = [seasonOn(farm.seasons, glance.day) ?? farm.season, partOf(glance.blocks, chosen())];
    const about = {
      glance, season: of, crew: crewName(), variety: chosen().variety ?? "", day: when, passes, lastWorked: lastDay(season, glance.day, part),
      otherSeason: of === null || of.id === farm.season?.id ? "" : of.name,
    };
    fill(top, ...figures({ ...about, before: beforeWords(glance, chosen(), season, before) }, finish));
    const look = lookOf(glance, part.blocks, chosenIds.crew, season === null || glance.day === farm.today, passes);
    map ??= mapFrame(farm.id, { day, ...look });
    if (map.box.parentElement === null) mapBox.append(map.box);
    map.look(passes ? look : { ...look, day: glance.day });
  };
  const drawPassing = (at: Overview): void => {
    const glance = glanceOf(at, chosen(), season);
    drawGlance(glance, true, () => undefined);
    drawTable(glance, at.blocks.length, true);
    void drawBurnUp(glance, null);
  };
  const drawTable = (glance: Glance, all: number, passes = false): void => {
    const lines = tableLines(glance, chosen(), season, told, passes);
    table.show(lines, { all, crew: crewName(), currency: passes ? null : told.currency, noCost: noCostWords(glance.day !== farm.today, chosenIds.crew !== null) });
  };
  const drawBurnUp = async (glance: Glance, told: Parameters<typeof import("./burn-up-part").burnUpPart>[0]["told"]): Promise<void> => {
    const { burnUpPart } = await import("./burn-up-part");
    if (left || glance.day !== day) return;
    fill(burnUp, burnUpPart({ day, trees: glance.figures.trees, part: partOf(glance.blocks, chosen()), season, before, told }));
  };
  /** Draw what waits: what only a manager can answer. After a mark it is looked at aside, and what stands there stays where nothing of it changed. */
  const drawNeeds = (glance: Glance, everyBlock: Overview["blocks"]): void => {
    const of = `${glance.day} ${chosenIds.crew} ${chosenIds.variety}`;
    const now = needsYou(lookedAt(glance, chosen(), everyBlock), { ...context, request: reckoned });
    if (needsOf !== of) fill(needs, now.box);
    else
      void now.whole.then(() => {
        if (left || needsOf !== of || now.box.textContent === needs.textContent) return;
        fill(needs, now.box);
        settle(now.box); // it came by itself: no finger falls on it unseen
      });
    needsOf = of;
  };
  /** Draw marks that came while one looks: figures, rings and table; what was told of the forecast stays. */
  const drawMarks = (overview: Overview): void => {
    const glance = glanceOf(overview, chosen(), season);
    const words = top.querySelector("[data-told]");
    drawGlance(glance, false, (found) => words !== null && found.replaceWith(words));
    drawTable(glance, overview.blocks.length);
  };
  /** Draw a day that rests, with what the service alone can tell of it. `withNeeds` is false where what waits was looked at for it already. */
  const drawRest = (overview: Overview, withNeeds = true): void => {
    visit += 1;
    const mine = visit;
    const glance = glanceOf(overview, chosen(), season);
    const isStale = (): boolean => left || mine !== visit;
    let words: HTMLElement | null = null;
    // of another day it is no answer
    if (told.day !== overview.day) told = { ...NOTHING_TOLD, day: overview.day };
    drawGlance(glance, false, (found) => (words = found));
    drawTable(glance, overview.blocks.length);
    if (glance.blocks.length === 0) said.say(CHOICE.none);
    if (isManager && withNeeds) drawNeeds(glance, overview.blocks);
    void (async () => {
      const whole = isWhole(chosen());
      const [forecast, part] = await Promise.all([readings.forecast(overview.day), whole ? null : readings.part(overview.day, chosenIds)]);
      if (isStale()) return;
      if (words !== null) {
        if (whole) tellFinish(words, forecast, context, seasonId(overview.day) === seasonId(farm.today));
        else if (part !== null) tellPartFinish(words, part, chosenIds.crew !== null);
      }
      told = { ...told, finishes: forecast?.blocks ?? [] };
      drawTable(glance, overview.blocks.length);
      await drawBurnUp(glance, whole ? forecast : part);
      // last of all: it stands below everything else
      if (!isManager || overview.day !== farm.today) return;
      const cost = await readings.cost();
      if (isStale()) return;
      told = { ...told, costs: new Map(cost?.blocks.map((block) => [block.block_id, block])), currency: cost?.currency ?? null };
      drawTable(glance, overview.blocks.length);
    })();
  };
  const place = (): void => {
    fill(body, top, h("div", { class: isManager ? "map-and-blocks" : "map-and-blocks without-needs" }, mapBox, bar, needs, burnUp, table.box), away);
  };
  const read = async (byItself = false): Promise<void> => {
    reads += 1;
    const [mine, asked, of] = [reads, day, seasonId(day)];
    const isStale = (): boolean => left || mine !== reads || asked !== day;
    isReading = true;
    isBehind = false;
    clearTimeout(whole);
    whole = undefined;
    try {
      // a crew's own blocks are known by the days of the season only
      const [answer, days] = await Promise.all([readings.overview(asked, byItself), chosenIds.crew === null ? null : readings.season(of)]);
      if (isStale()) return;
      if (days !== null) season = days;
      else if (season !== null && season.season.id !== of) season = null;
      if (before?.season.id !== season?.before?.id) before = null;
      if (season === null) slider.span(null);
      // marks that were drawn while it was reckoned stay drawn
      const overview = newest !== null && isNewer(newest, answer) ? withMarks(answer, newest) : answer;
      if (overview.blocks.length === 0) {
        fill(body, emptyState(OVERVIEW.noBlocks, { label: OVERVIEW.toSetUp, run: () => context.go({ screen: "set-up", block: null }) }));
        drawn = overview;
        return;
      }
      if (drawn === null || drawn.blocks.length === 0) place();
      said.say(drawn !== null ? "" : refused !== "" ? refused : isUnknown ? CHOICE.unknown : "");
      drawn = overview;
      slider.show(asked);
      keepAddress();
      drawRest(overview);
      void offerFiles(overview);
      void readDays();
      if (overview !== answer) readWholeSoon(); // of those marks the rest is not reckoned yet
    } catch (error) {
      if (isStale()) return;
      if (drawn === null) fill(body);
      else slider.show((day = drawn.day));
      said.say(sentence(error, SHELL.noAnswer), "bad");
    } finally {
      if (mine === reads) isReading = false;
      if (isBehind && !left) void catchUp();
    }
  };
  /** Offer what can be printed and taken along, once for each day. */
  const offerFiles = async (overview: Overview): Promise<void> => {
    if (away.dataset["day"] === overview.day) return;
    away.dataset["day"] = overview.day;
    const { takeAway } = await import("../files/take-away");
    if (!left) fill(away, takeAway(context, overview.day, overview.blocks));
  };
  /** Read the days of the season, and draw once more with them where they are new. */
  const readDays = async (): Promise<void> => {
    const [known, of] = [[season, before], seasonId(day)];
    const [days, earlier] = [await readings.season(of), await readings.before(of)];
    if (left || drawn === null || of !== seasonId(day)) return;
    [season, before] = [days, earlier];
    slider.span(season === null ? null : sliderSpan(season, farm));
    // what waits hangs on these days only where a crew's own blocks are looked at
    if ((known[0] !== season || known[1] !== before) && drawn.day === day) drawRest(drawn, chosenIds.crew !== null);
  };
  const readAnew = (): void => {
    readings.forget();
    void read(true);
  };
  /** Read all of it once the marks pause, or have gone on for so long: it is reckoned, and takes the service a while. */
  const readWholeSoon = (): void => {
    if (whole === undefined) wholeBy = Date.now() + WHOLE_AT_LAST_MS;
    clearTimeout(whole);
    whole = window.setTimeout(readAnew, Math.min(WHOLE_AFTER_MS, Math.max(0, wholeBy - Date.now())));
  };
  const isDrawn = (): boolean => drawn !== null && drawn.day === day;
  /** Draw the marks that came: at once, in their place, with the little that they change; also while all of it is reckoned anew. */
  const catchUp = async (): Promise<void> => {
    if (!isDrawn()) return readWholeSoon(); // on its way to another day, which is read as it is now
    isCatching = true;
    isBehind = false;
    try {
      const of = seasonId(day);
      const [now, days] = await Promise.all([readings.prunedNow(day), chosenIds.crew === null ? null : readings.seasonNow(of)]);
      if (left || drawn === null || !isDrawn() || !isNewer(now, drawn)) return;
      newest = now;
      if (days !== null && of === seasonId(day)) season = days;
      drawn = withMarks(drawn, now);
      drawMarks(drawn);
    } catch {
      // the line above says that there is no connection; all of it is read when there is one
    } finally {
      isCatching = false;
      if (!left && !isReading) readWholeSoon();
      if (isBehind && !left) void catchUp();
    }
  };

  fill(root, h("h1", { class: "unseen" }, OVERVIEW.title), said.box, body);
  void read();
  return {
    cursor: () => drawn?.cursor ?? null,
    newer(records) {
      if (records === 0) readAnew();
      else if (isCatching || (isReading && !isDrawn())) isBehind = true;
      else void catchUp();
    },
    leave() {
      left = true;
      clearTimeout(whole);
      slider.leave();
    },
  };
};
