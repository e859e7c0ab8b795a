// What lies on the farm out of a file: it is read and shown first, and taken as what the manager says.
(() => {
  "use strict";
  const OM = (window.orchardMap = window.orchardMap || {});
  const { make } = OM;
  // by what a preview calls lines, points and outlines; outlines may well be blocks, so they are left out unless somebody says otherwise
  const KINDS = { row: ["track", "water", "other"], tree: ["gate", "water", "shed", "other"], block: ["", "water", "shed", "other"] };

  function asWhat(app, kind, count) {
    const id = `orchard-file-${kind}`;
    const select = make("select", { id }, ...KINDS[kind].map((one) => make("option", { value: one }, one ? OM.signWords(app.signs.features[one]) : OM.words("file_leave_out"))));
    return { kind, select, box: make("div", {}, make("label", { for: id }, OM.counted(`file_${kind}`, count)), select) };
  }

  /** The part of the drawing panel that takes features out of a file. */
  OM.fileChoice = (drawing) => {
    const { app } = drawing;
    const found = make("div", {});
    const said = make("p", { role: "status" });
    const farm = `${app.config.api}/farms/${encodeURIComponent(app.config.farm_id)}`;
    const tell = (words) => { said.textContent = words; };

    async function take({ token, features }, choices) {
      const kindOf = new Map(choices.map(({ kind, select }) => [kind, select.value]));
      const wishes = features.filter((one) => !one.problem && kindOf.get(one.kind)).map((one) => ({ index: one.index, kind: kindOf.get(one.kind) }));
      try {
        if (wishes.length) await OM.send("POST", `${app.config.api}/imports/${token}/farm-features`, { features: wishes });
        await OM.send("DELETE", `${app.config.api}/imports/${token}`);
        await app.loadFeatures();
        found.replaceChildren();
        drawing.show();
        tell(OM.counted("file_taken", wishes.length));
      } catch (problem) {
        tell(problem.message);
      }
    }

    async function read() {
      if (!input.files.length) return;
      const form = new FormData();
      form.append("file", input.files[0]);
      input.value = "";
      found.replaceChildren();
      tell(OM.words("file_reading"));
      try {
        const preview = await OM.send("POST", `${farm}/imports`, form);
        const asked = preview.questions.find(({ needed }) => needed);
        if (asked) { tell(`${asked.text} ${OM.words("file_questions")}`); return; }
        const counts = Object.keys(KINDS).map((kind) => [kind, preview.features.filter((one) => !one.problem && one.kind === kind).length]).filter(([, n]) => n);
        const choices = counts.map(([kind, n]) => asWhat(app, kind, n));
        found.replaceChildren(...choices.map(({ box }) => box), ...(counts.length ? [make("button", { type: "button", on: { click: () => take(preview, choices) } }, OM.words("file_take"))] : []));
        const broken = preview.features.filter(({ problem }) => problem).length;
        tell([counts.length ? "" : OM.words("file_nothing"), broken ? OM.counted("file_broken", broken) : ""].filter(Boolean).join(" "));
      } catch (problem) {
        tell(problem.message);
      }
    }

    const input = make("input", { id: "orchard-file", type: "file", on: { change: () => read() } });
    return make("div", {}, make("label", { for: input.id }, OM.words("file_choose")), input, said, found);
  };
})();
