// Where the data comes from: the service, or the page itself. Both give the same documents.
(() => {
  "use strict";
  const OM = (window.orchardMap = window.orchardMap || {});
  const TIME_LIMIT_MS = 20000;
  const AT_ONCE = 6;

  async function fetchJson(address) {
    const answer = await fetch(address, {
      headers: { Accept: "application/json" }, credentials: "same-origin", signal: AbortSignal.timeout(TIME_LIMIT_MS),
    }).catch(() => { throw new Error(OM.words("no_answer")); }); // what the browser says of it is English everywhere
    if (!answer.ok) {
      const problem = await answer.json().catch(() => ({}));
      const words = [problem.title || OM.words("service_answered", { status: answer.status }), problem.detail, problem.todo];
      throw Object.assign(new Error(words.filter(Boolean).join(" ")), { status: answer.status });
    }
    return answer.json();
  }

  // At most a few requests at a time, so that what was asked for last is not stuck behind hundreds.
  function inTurn(work) {
    const waiting = [];
    let running = 0;
    const next = () => {
      if (running >= AT_ONCE || !waiting.length) return;
      const { given, settle, refuse } = waiting.shift();
      running++;
      work(given).then(settle, refuse).finally(() => { running--; next(); });
    };
    return (given) => new Promise((settle, refuse) => { waiting.push({ given, settle, refuse }); next(); });
  }

  // One long question at a time of all pages of this browser: they share its six connections to the service, and short ones must find
  // one free. The name is that of the pages round the map (web/src/data/in-turn.ts); on plain http there are no locks.
  async function alone(work) {
    if (!navigator.locks) return work();
    let begun = false;
    const once = () => { begun = true; return work(); };
    try {
      return await navigator.locks.request("orchardmap.reckoned", { signal: AbortSignal.timeout(TIME_LIMIT_MS) }, once);
    } catch (problem) {
      if (begun) throw problem;
      return once(); // a page that holds it may have been put to sleep
    }
  }

  OM.servedSource = (config) => {
    const get = inTurn(fetchJson);
    const farm = `${config.api}/farms/${encodeURIComponent(config.farm_id)}`;
    const block = (id) => `${config.api}/blocks/${encodeURIComponent(id)}`;
    const asking = (of) => {
      const query = new URLSearchParams(Object.entries(of).filter(([, value]) => value)).toString();
      return query ? `?${query}` : "";
    };
    // where the day is known it is asked for while the farm is still on its way
    let early = config.day ? get(`${farm}/overview${asking({ day: config.day })}`) : null;
    if (early) early.catch(() => {});
    const overview = (day) => {
      const asked = day === config.day ? early : null;
      early = null;
      return asked || get(`${farm}/overview${asking({ day })}`);
    };
    // a page that frames the map says which language its words are in
    const lang = new URLSearchParams(location.search).get("lang");
    return {
      isLive: true,
      farm: () => get(farm),
      features: () => get(`${farm}/farm-features`),
      prunedNow: () => get(`${farm}/pruned-now`),
      overview,
      wholeOverview: (day) => alone(() => overview(day)),
      shape: (it) => get(`${block(it.id)}/shape?v=${encodeURIComponent(it.shape_version)}`),
      state: (it, day) => get(`${block(it.id)}/state${asking({ day, lang })}`),
      changes: (after) => get(`${farm}/changes?after=${after}&limit=1000`),
    };
  };

  OM.insideSource = (config, data) => {
    const found = (documents, it) => (documents[it.id]
      ? Promise.resolve(documents[it.id]) : Promise.reject(new Error(OM.words("no_rows_in_file"))));
    return {
      isLive: false,
      farm: () => Promise.resolve({ name: config.farm_name, today: config.day, season: null }),
      features: () => Promise.resolve(data.features || {}),
      overview: () => Promise.resolve(data.overview),
      shape: (it) => found(data.shapes, it),
      state: (it) => found(data.states, it),
      changes: () => Promise.resolve({ changes: [], cursor: 0, epoch: "" }),
    };
  };
})();
