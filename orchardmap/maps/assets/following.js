// Keeping up with the service: a stream tells at once, and where none speaks the service is asked now and then.
(() => {
  "use strict";
  const OM = (window.orchardMap = window.orchardMap || {});
  const POLL_MS = 2000;
  // the service says something every 15 seconds: after this silence the line is taken for dead
  const SILENT_MS = 40000;
  // what was refused to whoever asks is asked again after this, a stream too
  const AGAIN_MS = 60000;
  const PAUSE_MS = 5000;
  const AT_LAST_MS = 30000;
  const CHANNEL = "orchardmap-log";
  // told by the pages round the map when somebody is let in or out (web/src/data/who-in-windows.ts)
  const WHO_CHANNEL = "orchardmap-who";
  const REFUSED = [401, 403, 404];

  /** What a stream last said of where the farm's log stands; null where none can be believed. */
  class Told {
    constructor(page, isFramed, farm, ring) {
      this.farm = farm;
      this.ring = ring;
      this.place = null;
      this.heardAt = 0;
      this.askedAt = 0;
      this.wanted = null;
      this.stream = null;
      // a browser opens few connections to one host: one window has the stream and passes on what it hears (web/src/data/shared-stream.ts)
      this.channel = new BroadcastChannel(CHANNEL);
      this.channel.addEventListener("message", ({ data }) => { if (data.farm === farm && !this.stream) this.take(data); });
      if (isFramed) return; // the page that frames it sees to one
      this.tend = () => this.keepOpen();
      page.addEventListener("visibilitychange", () => { if (page.visibilityState === "hidden") this.close(); });
    }

    tend() {}

    /** Have a stream, or wait for one: whoever has it goes some day, or is hidden. On plain http there are no locks, and each window has one. */
    keepOpen() {
      const now = Date.now();
      if (this.wanted && now - this.heardAt > SILENT_MS && now - this.askedAt > AGAIN_MS) this.close();
      if (this.wanted) return;
      this.wanted = new AbortController();
      this.askedAt = this.heardAt = now;
      const { signal } = this.wanted;
      const lead = () => new Promise((done) => {
        if (signal.aborted) { done(); return; }
        signal.addEventListener("abort", done);
        this.open();
      });
      if (navigator.locks) navigator.locks.request(`orchardmap.stream ${this.farm}`, { signal }, lead).catch(() => {}); // left before its turn came
      else lead();
    }

    open() {
      const mine = new EventSource(`/api/farms/${encodeURIComponent(this.farm)}/events`);
      this.stream = mine;
      const pass = (said) => {
        if (mine !== this.stream) return;
        this.channel.postMessage({ farm: this.farm, ...said });
        this.take(said);
      };
      mine.addEventListener("change", ({ data }) => pass(JSON.parse(data)));
      mine.addEventListener("error", () => pass({ broken: true }));
    }

    close() {
      if (this.stream) this.stream.close();
      if (this.wanted) this.wanted.abort();
      this.stream = this.wanted = this.place = null;
    }

    take({ cursor, epoch, broken }) {
      if (broken) {
        if (this.place) { this.place = null; this.ring(); }
        return;
      }
      const isNews = !this.place || this.place.cursor !== cursor || this.place.epoch !== epoch;
      this.place = { cursor, epoch };
      this.heardAt = Date.now();
      if (isNews) this.ring();
    }

    /** Whether there may be something that the map has not drawn. */
    mayBeNew(cursor, epoch) {
      const place = Date.now() - this.heardAt <= SILENT_MS ? this.place : null;
      return !place || place.cursor !== cursor || place.epoch !== epoch;
    }
  }

  /** An overview with the marks that came since; checks and verdicts stay those that were read. */
  function withMarks(overview, { cursor, epoch, blocks }) {
    const list = overview.blocks.map((facts) => {
      const [pruned, overlap, rows_done] = blocks[facts.id] || [0, 0, 0];
      return { ...facts, pruned, overlap, rows_done };
    });
    const total = (name) => list.reduce((sum, facts) => sum + facts[name], 0);
    const [trees, pruned] = [total("trees"), total("pruned")];
    const figures = {
      ...overview.figures, pruned, share: trees ? pruned / trees : 0, trees_left: trees - pruned, rows_done: total("rows_done"), overlap_trees: total("overlap"),
    };
    return { ...overview, cursor, epoch, figures, blocks: list };
  }

  /** Ask what changed; fetch again only what it touched. Returns whether more of it is to be read once the marks pause. */
  async function catchUp(app) {
    const { changes, cursor, epoch } = await app.source.changes(app.cursor);
    const isOtherStore = epoch !== app.epoch;
    if (!changes.length && !isOtherStore) return false;
    if (changes.some(({ kind }) => kind === "farm_feature" || kind === "hazard_line")) app.loadFeatures();
    const touched = new Set(changes.map((change) => change.block_id).filter(Boolean));
    for (const block of app.list) if (isOtherStore || touched.has(block.id)) block.marks++;
    const isOfToday = !app.farm.today || app.day === app.farm.today;
    const areMarks = !isOtherStore && isOfToday && changes.every(({ kind }) => kind === "mark" || kind === "withdrawal");
    if (areMarks) {
      app.newest = await app.source.prunedNow();
      app.take(withMarks(app.overview, app.newest));
    } else await app.load();
    if (!isOtherStore && cursor > app.cursor) app.cursor = cursor;
    for (const block of app.list) if (block.stateKey) app.wantStateIfShown(block);
    return areMarks;
  }

  /** Read all of it beside the marks that come: those drawn while it was reckoned stay drawn. */
  async function readWhole(app) {
    const asked = ++app.era;
    const overview = await app.source.wholeOverview(app.day);
    if (asked !== app.era) return;
    const { newest } = app;
    const isBehind = newest && newest.day === overview.day && newest.epoch === overview.epoch && newest.cursor > overview.cursor;
    app.take(isBehind ? withMarks(overview, newest) : overview);
  }

  /** Have the map catch up as long as its page is open and seen. */
  OM.follow = (app) => {
    let timer = 0;
    let isBusy = false;
    let isRung = false;
    // all of it is reckoned, and takes the service a while: it is read once the marks pause, or have gone on for so long
    let marksBegan = 0;
    let markedAt = 0;
    let isWhole = true;
    const isDue = (now) => isWhole && marksBegan > 0 && (now - markedAt > PAUSE_MS || now - marksBegan > AT_LAST_MS);
    const failed = (problem) => {
      app.isSilent = true;
      app.say(`${OM.words("no_fresh_figures")} ${problem.message}`);
    };
    const turn = async () => {
      clearTimeout(timer);
      isBusy = true;
      isRung = false;
      let wait = POLL_MS;
      if (app.page.visibilityState === "visible") {
        told.tend();
        try {
          if (told.mayBeNew(app.cursor, app.epoch) && (await catchUp(app))) {
            markedAt = Date.now();
            marksBegan = marksBegan || markedAt;
          }
          if (isDue(Date.now())) {
            marksBegan = 0;
            isWhole = false;
            // not waited for: it is reckoned, and the next mark is not
            readWhole(app)
              .catch((problem) => { marksBegan = markedAt = Date.now(); failed(problem); })
              .finally(() => { isWhole = true; });
          }
          if (app.isSilent) app.askAgain();
        } catch (problem) {
          failed(problem);
          if (REFUSED.includes(problem.status)) wait = AGAIN_MS;
        }
      }
      isBusy = false;
      timer = setTimeout(turn, isRung ? 0 : wait);
    };
    const ring = () => { isRung = true; if (!isBusy) turn(); };
    const told = new Told(app.page, Boolean(app.config.embedded), app.config.farm_id, ring);
    app.page.addEventListener("visibilitychange", ring);
    new BroadcastChannel(WHO_CHANNEL).addEventListener("message", ring);
    told.tend();
    timer = setTimeout(turn, POLL_MS);
  };
})();
