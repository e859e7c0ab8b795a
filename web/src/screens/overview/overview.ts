/** The overview: three figures in words, the map, what needs the manager, the burn-up, the blocks; of any day, crew and variety. */

import type { Overview } from "../../core/contracts";
import { CHOICE } from "../../core/glance-wording";
import { glanceOf, isNewer, isWhole, onDay, partOf, withMarks, type Chosen, type Glance, type PrunedNow } from "../../core/glance";
import { dayBefore } from "../../core/knock-off";
import { dayText } from "../../core/numbers";
import { OVERVIEW } from "../../core/overview-wording";
import { addressOf } from "../../core/place";
import { blockPaces, type SeasonDays } from "../../core/season-days";
import { roleAt } from "../../core/who";
import { SHELL } from "../../core/wording";
import { inTurn } from "../../data/in-turn";
import { sentence } from "../../data/request";
import { fill, h } from "../../ui/dom";
import { emptyState, notice } from "../../ui/notice";
import { settle } from "../../ui/settling";
import type { Context, Screen } from "../context";
import { beforeWords } from "./before";
import { blocksTable } from "./blocks-table";
import { choiceFields, type ChosenIds } from "./choice";
import { daySlider } from "./day-slider";
import { figures } from "./figures";
import { tellFinish, tellPartFinish } from "./finish-figure";
import { mapFrame, UNTOLD, type MapFrame } from "./map-frame";
import { needsYou } from "./needs-you";
import "./overview.css";
import { NOTHING_TOLD, readingsOf, type Told } from "./readings";

/** Return what the address asks for, as far as the farm has it. */
function askedFor({ place, farm }: Context): { ids: ChosenIds; isUnknown: boolean } {
  const crew = farm.crews.find(({ id }) => id === place.crew)?.id ?? null;
  const variety = farm.varieties.find(({ id }) => id === place.variety)?.id ?? null;
  return { ids: { crew, variety }, isUnknown: (place.crew ?? null) !== crew || (place.variety ?? null) !== variety };
}

const RECKONED_AT_ONCE = 2;
const WHOLE_AFTER_MS = 5_000;
const WHOLE_AT_LAST_MS = 30_000;

/** Show the overview. */
export const showOverview: Screen = (root, context) => {
  const { farm } = context;
  const reckoned = inTurn(context.request, RECKONED_AT_ONCE);
  const readings = readingsOf(context, reckoned);
  const { ids, isUnknown } = askedFor(context);
  let chosenIds = ids;
  let day = context.place.day !== undefined && context.place.day < farm.today ? context.place.day : farm.today;
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
  const slider = daySlider(farm.today, day, {
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
    const about = { glance, season: farm.season, crew: crewName(), variety: chosen().variety ?? "", day: when, passes };
    fill(top, ...figures({ ...about, before: beforeWords(glance, chosen(), season, before) }, finish));
    const part = partOf(glance.blocks, chosen());
    const rings = glance.own ?? (season === null || glance.day === farm.today ? null : new Map(glance.blocks.map((block) => [block.id, block.pruned])));
    const look = {
      blocks: part.blocks === null ? null : [...part.blocks],
      crew: chosenIds.crew,
      figures: rings === null ? null : Object.fromEntries(glance.blocks.map(({ id, trees }) => [id, { trees, pruned: rings.get(id) ?? 0, ...(passes && UNTOLD) }])),
    };
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
    const { finishes, costs, currency } = passes ? NOTHING_TOLD : told;
    const paces = season === null ? new Map<string, number>() : blockPaces(season, glance.day, partOf(glance.blocks, chosen()));
    const of = new Map(finishes.map((one) => [one.block_id, one]));
    const lines = glance.blocks.map((block) => ({
      block,
      own: glance.own === null ? null : (glance.own.get(block.id) ?? 0),
      pace: paces.get(block.id) ?? null,
      finish: of.get(block.id) ?? null,
      // a block's cost is that of all crews there: beside one crew's trees it would be another thing
      cost: glance.own === null ? (costs.get(block.id) ?? null) : null,
      passes,
    }));
    table.show(lines, { all, crew: crewName(), currency });
  };
  const drawBurnUp = async (glance: Glance, told: Parameters<typeof import("./burn-up-part").burnUpPart>[0]["told"]): Promise<void> => {
    const { burnUpPart } = await import("./burn-up-part");
    if (left || glance.day !== day) return;
    fill(burnUp, burnUpPart({ day, trees: glance.figures.trees, part: partOf(glance.blocks, chosen()), season, before, told }));
  };
  /** Draw what waits: what only a manager can answer. After a mark it is looked at aside, and what stands there stays where nothing of it changed. */
  const drawNeeds = (glance: Glance): void => {
    const of = `${glance.day} ${chosenIds.crew} ${chosenIds.variety}`;
    const now = needsYou({ ...glance, crew: chosenIds.crew, isWhole: isWhole(chosen()) }, { ...context, request: reckoned });
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
    if (isManager && withNeeds) drawNeeds(glance);
    void (async () => {
      const whole = isWhole(chosen());
      const [forecast, part] = await Promise.all([readings.forecast(overview.day), whole ? null : readings.part(overview.day, chosenIds)]);
      if (isStale()) return;
      if (words !== null) {
        if (whole) tellFinish(words, forecast, context);
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
  const read = async (): Promise<void> => {
    reads += 1;
    const [mine, asked] = [reads, day];
    const isStale = (): boolean => left || mine !== reads || asked !== day;
    isReading = true;
    isBehind = false;
    clearTimeout(whole);
    whole = undefined;
    try {
      const answer = await readings.overview(asked);
      if (isStale()) return;
      // marks that were drawn while it was reckoned stay drawn
      const overview = newest !== null && isNewer(newest, answer) ? withMarks(answer, newest) : answer;
      if (overview.blocks.length === 0) {
        fill(body, emptyState(OVERVIEW.noBlocks, { label: OVERVIEW.toSetUp, run: () => context.go({ screen: "set-up", block: null }) }));
        drawn = overview;
        return;
      }
      if (drawn === null || drawn.blocks.length === 0) place();
      said.say(isUnknown && drawn === null ? CHOICE.unknown : "");
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
    const known = [season, before];
    season = await readings.season();
    before = await readings.before();
    if (left || drawn === null) return;
    if (season !== null) slider.begin(dayBefore(season.days[0] ?? season.season.opens_on));
    // what waits hangs on these days only where a crew's own blocks are looked at
    if ((known[0] !== season || known[1] !== before) && drawn.day === day) drawRest(drawn, chosenIds.crew !== null);
  };
  const readAnew = (): void => {
    readings.forget();
    void read();
  };
  /** Read all of it once the marks pause, or have gone on for so long: it is reckoned, and takes the service a while. */
  const readWholeSoon = (): void => {
    if (whole === undefined) wholeBy = Date.now() + WHOLE_AT_LAST_MS;
    clearTimeout(whole);
    whole = window.setTimeout(readAnew, Math.min(WHOLE_AFTER_MS, Math.max(0, wholeBy - Date.now())));
  };
  const isOfToday = (): boolean => drawn !== null && drawn.day === farm.today && day === farm.today;
  /** Draw the marks that came: at once, in their place, with the little that they change; also while all of it is reckoned anew. */
  const catchUp = async (): Promise<void> => {
    // today's marks change little of a day that is over
    if (!isOfToday()) return readWholeSoon();
    isCatching = true;
    isBehind = false;
    try {
      const now = await readings.prunedNow();
      if (left || drawn === null || !isOfToday() || !isNewer(now, drawn)) return;
      newest = now;
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
      else if (isCatching || (isReading && !isOfToday())) isBehind = true;
      else void catchUp();
    },
    leave() {
      left = true;
      clearTimeout(whole);
      slider.leave();
    },
  };
};
