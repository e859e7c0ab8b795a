/** The overview: three figures in words, the map, what needs the manager, the burn-up, the blocks; of any day, crew and variety. */

import type { Overview } from "../../core/contracts";
import { CHOICE } from "../../core/glance-wording";
import { glanceOf, isWhole, onDay, partOf, withMarks, type Chosen, type Glance } from "../../core/glance";
import { dayBefore } from "../../core/knock-off";
import { OVERVIEW } from "../../core/overview-wording";
import { addressOf } from "../../core/place";
import { blockPaces, type SeasonDays } from "../../core/season-days";
import { roleAt } from "../../core/who";
import { SHELL } from "../../core/wording";
import { sentence } from "../../data/request";
import { fill, h } from "../../ui/dom";
import { emptyState, notice } from "../../ui/notice";
import { settle } from "../../ui/settling";
import type { Context, Screen } from "../context";
import { beforeWords } from "./before";
import { blocksTable, type Line } from "./blocks-table";
import { choiceFields, type ChosenIds } from "./choice";
import { daySlider } from "./day-slider";
import { figures } from "./figures";
import { tellFinish, tellPartFinish } from "./finish-figure";
import { mapFrame, type MapFrame } from "./map-frame";
import { needsYou } from "./needs-you";
import "./overview.css";
import { readingsOf } from "./readings";

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
  const readings = readingsOf(context);
  const { ids, isUnknown } = askedFor(context);
  let chosenIds = ids;
  let day = context.place.day !== undefined && context.place.day < farm.today ? context.place.day : farm.today;
  let drawn: Overview | null = null;
  let season: SeasonDays | null = null;
  let before: SeasonDays | null = null;
  let map: MapFrame | null = null;
  let left = false;
  let visit = 0;
  let isReading = false;
  let isBehind = false;
  let lastTold: { finishes: readonly Line["finish"][]; costs: ReadonlyMap<string, string> } = { finishes: [], costs: new Map() };
  let whole: number | undefined;
  let wholeBy = 0;
  let needsOf = "";
  const isManager = roleAt(context.who, farm.id) === "manager";

  const table = blocksTable(context);
  const top = h("div", { class: "figures" });
  const needs = h("div", {});
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
    const told = { glance, season: farm.season, crew: crewName(), passes, before: beforeWords(glance, chosen(), season, before) };
    fill(top, ...figures(told, finish));
    const part = partOf(glance.blocks, chosen());
    const rings = glance.own ?? (season === null || glance.day === farm.today ? null : new Map(glance.blocks.map((block) => [block.id, block.pruned])));
    const look = {
      blocks: part.blocks === null ? null : [...part.blocks],
      crew: chosenIds.crew,
      figures: rings === null ? null : Object.fromEntries(glance.blocks.map(({ id, trees }) => [id, { trees, pruned: rings.get(id) ?? 0 }])),
    };
    map ??= mapFrame(farm.id, { day, ...look });
    if (map.box.parentElement === null) mapBox.append(map.box);
    map.look(passes ? look : { ...look, day: glance.day });
  };
  const drawPassing = (at: Overview): void => {
    const glance = glanceOf(at, chosen(), season);
    drawGlance(glance, true, () => undefined);
    drawTable(glance, at.blocks.length);
    void drawBurnUp(glance, null);
  };
  const drawTable = (glance: Glance, all: number, finishes: readonly Line["finish"][] = [], costs: ReadonlyMap<string, string> = new Map()): void => {
    const paces = season === null ? new Map<string, number>() : blockPaces(season, glance.day, partOf(glance.blocks, chosen()));
    const of = new Map(finishes.map((one) => [one?.block_id, one]));
    const lines = glance.blocks.map((block) => ({
      block,
      own: glance.own === null ? null : (glance.own.get(block.id) ?? 0),
      pace: paces.get(block.id) ?? null,
      finish: of.get(block.id) ?? null,
      cost: costs.get(block.id) ?? null,
    }));
    table.show(lines, all, crewName());
  };
  const drawBurnUp = async (glance: Glance, told: Parameters<typeof import("./burn-up-part").burnUpPart>[0]["told"]): Promise<void> => {
    const { burnUpPart } = await import("./burn-up-part");
    if (left || glance.day !== day) return;
    fill(burnUp, burnUpPart({ day, trees: glance.figures.trees, part: partOf(glance.blocks, chosen()), season, before, told }));
  };
  /** Draw what waits: what only a manager can answer. After a mark it is looked at aside, and what stands there stays where nothing of it changed. */
  const drawNeeds = (glance: Glance): void => {
    const of = `${glance.day} ${chosenIds.crew} ${chosenIds.variety}`;
    const now = needsYou({ ...glance, crew: chosenIds.crew, isWhole: isWhole(chosen()) }, context);
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
    const told = top.querySelector("[data-told]");
    drawGlance(glance, false, (found) => told !== null && found.replaceWith(told));
    drawTable(glance, overview.blocks.length, lastTold.finishes, lastTold.costs);
  };
  /** Draw a day that rests, with what the service alone can tell of it. */
  const drawRest = (overview: Overview): void => {
    visit += 1;
    const mine = visit;
    const glance = glanceOf(overview, chosen(), season);
    const isStale = (): boolean => left || mine !== visit;
    let words: HTMLElement | null = null;
    drawGlance(glance, false, (found) => (words = found));
    drawTable(glance, overview.blocks.length, lastTold.finishes, lastTold.costs);
    if (glance.blocks.length === 0) said.say(CHOICE.none);
    if (isManager) drawNeeds(glance);
    void (async () => {
      const whole = isWhole(chosen());
      const [forecast, part, cost] = await Promise.all([
        readings.forecast(overview.day),
        whole ? null : readings.part(overview.day, chosenIds),
        isManager && overview.day === farm.today ? readings.cost() : null,
      ]);
      if (isStale()) return;
      if (words !== null) {
        if (whole) tellFinish(words, forecast, context);
        else if (part !== null) tellPartFinish(words, part, chosenIds.crew !== null);
      }
      lastTold = { finishes: forecast?.blocks ?? [], costs: new Map(cost?.blocks.map((block) => [block.block_id, block.cost])) };
      drawTable(glance, overview.blocks.length, lastTold.finishes, lastTold.costs);
      await drawBurnUp(glance, whole ? forecast : part);
    })();
  };
  const place = (): void => {
    fill(body, top, bar, h("div", { class: "map-and-blocks" }, mapBox, h("div", { class: "beside-map" }, needs, burnUp), table.box), away);
  };
  const read = async (): Promise<void> => {
    const asked = day;
    isReading = true;
    isBehind = false;
    clearTimeout(whole);
    whole = undefined;
    try {
      const overview = await readings.overview(asked);
      if (left || asked !== day) return;
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
    } catch (error) {
      if (left || asked !== day) return;
      if (drawn === null) fill(body);
      else slider.show((day = drawn.day));
      said.say(sentence(error, SHELL.noAnswer), "bad");
    } finally {
      isReading = false;
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
    if ((known[0] !== season || known[1] !== before) && drawn.day === day) drawRest(drawn);
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
  /** Draw the marks that came: at once, in their place, with the little that they change. */
  const catchUp = async (): Promise<void> => {
    if (drawn === null || drawn.day !== farm.today || day !== farm.today) return readAnew();
    isReading = true;
    isBehind = false;
    const before = drawn;
    try {
      const now = await readings.prunedNow();
      if (left || drawn !== before || day !== now.day || now.epoch !== before.epoch) return;
      drawn = withMarks(before, now);
      drawMarks(drawn);
    } catch {
      // the line above says that there is no connection; all of it is read when there is one
    } finally {
      isReading = false;
      if (!left) readWholeSoon();
      if (isBehind && !left) void catchUp();
    }
  };

  fill(root, h("h1", { class: "unseen" }, OVERVIEW.title), said.box, body);
  void read();
  return {
    cursor: () => drawn?.cursor ?? null,
    newer(records) {
      if (isReading) isBehind = true;
      else if (records === 0) readAnew();
      else void catchUp();
    },
    leave() {
      left = true;
      clearTimeout(whole);
      slider.leave();
    },
  };
};
