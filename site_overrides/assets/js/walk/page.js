/*
 * The page of a walk: holds the walk that is open, takes what is entered, keeps it, and shows the views again. The clock,
 * chance, files and the store are met here and nowhere else.
 */
(function () {
  "use strict";
  const benchlore = /** @type {WalkScripts} */ ((window.benchlore = window.benchlore || {}));
  const walks = (benchlore.walks = benchlore.walks || /** @type {WalkParts} */ ({}));
  const { h, button } = benchlore.dom;

  const root = /** @type {HTMLElement} */ (document.getElementById("walk"));
  const book = benchlore.benchBook;
  const of = benchlore.walkStops ? benchlore.walkStops.family : "";

  /** @type {WalkRecord | null} */
  let open = null;
  /** @type {WalkRecord[]} */
  let boards = [];
  /** @type {"points" | "step" | "read"} */
  let view = "step";
  /** Chosen to be read again; else the next one of the way. */
  let chosen = "";
  /** Readings that say nothing of how the bench stands: those of before the walk was opened, or one was taken back. */
  let since = 0;
  /** Hazards that a step of this page has shown. @type {string[]} */
  let met = [];
  /** @type {WalkUi} */
  let ui = {
    read: false,
    asking: "",
    refusals: {},
    drafts: {
      meter: book.shop.default_meter,
      "point-mode": "ohms",
      "point-state": benchlore.walkBook.order[0] || "",
    },
  };
  /** @type {{text: string, save: boolean} | null} */
  let message = null;

  /** @returns {WalkPage} */
  function snapshot() {
    const family = walks.route.familyOf(open);
    const whole = walks.file.whole({ family: of });
    const steps = of ? walks.route.steps(whole) : [];
    return {
      book,
      family,
      boards,
      met,
      ui,
      act,
      locks: open ? walks.route.locksOf(open, [...walks.route.taken(open).values()]) : [],
      stands: open ? walks.route.stands(open, since) : { state: null, unplugged: [] },
      all: steps.length,
      minutes: steps.reduce((sum, step) => sum + step.minutes, 0),
    };
  }

  /* Showing. */

  /** @param {string} [focus] id of the element to go to */
  function show(focus) {
    const page = snapshot();
    root.replaceChildren(benchlore.dom.local(h("div", { class: "walk-view" }, told(), viewOf(page))));
    const place = focus ? document.getElementById(focus) : null;
    if (place) {
      place.focus();
      place.scrollIntoView({ block: "nearest" });
    }
  }

  /** @param {WalkPage} page */
  function viewOf(page) {
    if (!open) return walks.beginView.render(page);
    if (view === "points") return walks.pointsView.render(page, open);
    const step = stepOf(open);
    if (view === "read" || !step) return walks.tableView.render(page, open);
    const shown = walks.stepView.render(page, open, step);
    met = [...new Set([...met, ...page.family.measurements[step.measure].links.hazards])];
    return shown;
  }

  /** @param {WalkRecord} walk */
  function stepOf(walk) {
    const again = chosen && walks.route.steps(walk).find((step) => step.measure === chosen);
    return again || walks.route.next(walk);
  }

  function told() {
    if (!message) return null;
    const { text, save } = message;
    return h(
      "div",
      { class: "message no-print", role: "alert" },
      h("p", null, text),
      h(
        "p",
        { class: "actions" },
        save && open ? button("Save to a file", () => act.save(open ? open.id : "")) : null,
        button("Close", () => act.dismiss(), { class: "quiet", name: "Close this message" }),
      ),
    );
  }

  /** Where a hand goes next: the field, the first answer, or the title. */
  function nextPlace() {
    const step = open && view === "step" ? stepOf(open) : undefined;
    if (!open || !step) return "read-title";
    const moved = walks.route.stands(open, since).state !== step.setUp.state;
    const typed = walks.route.familyOf(open).measurements[step.measure].links.unit !== null;
    return typed && !moved ? "reading" : "next-title";
  }

  /* Changing. */

  /** @param {WalkRecord} changed @param {string} [focus] */
  function keep(changed, focus) {
    if (changed.id !== open?.id || changed.readings.length < open.readings.length)
      since = changed.readings.length;
    open = changed;
    boards = [changed, ...boards.filter((one) => one.id !== changed.id)];
    ui = { ...ui, refusals: {} };
    show(focus);
    void walks.keep.save(changed, new Date().toISOString()).then((how) => {
      if (how === "kept") return;
      message = {
        text:
          how === "failed"
            ? "This browser could not keep the walk. It stands on this page only: save it to a file."
            : "Another window has gone on with this walk, and nothing was written over that. Save this one to a file, then load the page again.",
        save: true,
      };
      show();
    });
  }

  /** @param {Partial<WalkRecord>} more */
  function fresh(more) {
    const id = benchlore.job.newId(Date.now(), Math.random);
    return walks.file.whole({ family: of, started: new Date().toISOString(), ...more, id });
  }

  /** @param {string} key @param {string} reason @param {string} mend @param {string} focus */
  function refuse(key, reason, mend, focus) {
    ui = { ...ui, refusals: { [key]: { reason, mend, choices: [] } } };
    show(focus);
  }

  /** @param {string} measure @param {string} text */
  function add(measure, text) {
    if (!open) return;
    chosen = "";
    ui.drafts.reading = "";
    const reading = { measure, meter: open.meter, text, at: new Date().toISOString() };
    keep({ ...open, readings: [...open.readings, reading] });
    show(nextPlace());
  }

  /** @type {WalkActs} */
  const act = {
    draft(key, text) {
      ui.drafts[key] = text;
    },

    begin() {
      const { title = "", label = "", revision = "", meter = "" } = ui.drafts;
      if (!of && !title.trim())
        return refuse("begin", "the board has no name", "type what it is called", "title");
      view = of ? "step" : "points";
      keep(
        fresh({ title: of ? "" : title.trim(), label: label.trim(), revision, meter }),
        of ? "next-title" : "point-net",
      );
    },

    open(id) {
      open = boards.find((one) => one.id === id) || null;
      since = open ? open.readings.length : 0;
      chosen = "";
      view = open && !of && open.points.length === 0 ? "points" : "step";
      show(nextPlace());
    },

    addPoint() {
      if (!open) return;
      const name = (/** @type {string} */ key) =>
        (ui.drafts[key] || "")
          .trim()
          .toUpperCase()
          .replace(/[^A-Z0-9]+/g, "_")
          .replace(/^_+|_+$/g, "");
      const [net, at] = [name("point-net"), name("point-at")];
      if (!net) return refuse("point", "the net has no name", "type one, such as MAIN_3V3", "point-net");
      if (!at) return refuse("point", "the point has no name", "type one, such as C12 or F1_OUT", "point-at");
      const mode = ui.drafts["point-mode"] || "";
      const state = ui.drafts["point-state"] || "";
      const wrong = unfit(mode, state);
      if (wrong) return refuse("point", wrong.reason, wrong.mend, "point-state");
      const other = open.points.find((one) => one.at === at && one.net !== net);
      if (other)
        return refuse(
          "point",
          at + " stands on " + other.net + " already",
          "give this point another name",
          "point-at",
        );
      if (open.points.some((one) => one.at === at && one.mode === mode && one.state === state))
        return refuse(
          "point",
          "this point is there already",
          "choose another function or state",
          "point-mode",
        );
      const numbers = open.points.map((one) => Number(one.id.slice(1)) || 0);
      const id = "p" + (Math.max(0, ...numbers) + 1);
      const where = (ui.drafts["point-where"] || "").trim();
      ui.drafts["point-net"] = ui.drafts["point-at"] = ui.drafts["point-where"] = "";
      keep({ ...open, points: [...open.points, { id, net, at, mode, state, where }] }, "point-net");
    },

    dropPoint(id) {
      if (!open) return;
      const points = open.points.filter((one) => one.id !== id);
      keep({ ...open, points, readings: open.readings.filter((one) => one.measure !== id) }, "points-title");
    },

    points() {
      view = "points";
      show("point-net");
    },

    go() {
      view = "step";
      chosen = "";
      show(nextPlace());
    },

    enter(measure, text) {
      if (!open) return;
      const measurement = walks.route.familyOf(open).measurements[measure];
      const shown = walks.compare.show(measurement, book.meters[open.meter], text);
      if (walks.compare.isShown(shown)) return add(measure, text.trim());
      ui = { ...ui, refusals: { reading: shown } };
      show("reading");
    },

    skip: (measure) => add(measure, ""),

    again(measure) {
      chosen = measure;
      view = "step";
      ui.drafts.reading = "";
      show("reading");
    },

    takeBack(measure) {
      if (!open) return;
      keep({ ...open, readings: open.readings.filter((one) => one.measure !== measure) });
      act.again(measure);
    },

    back() {
      if (!open) return;
      const last = open.readings[open.readings.length - 1];
      if (!last) return;
      chosen = "";
      ui.drafts.reading = last.text;
      keep({ ...open, readings: open.readings.slice(0, -1) }, "next-title");
    },

    end() {
      view = "read";
      show("read-title");
    },

    leave() {
      open = null;
      show("begin-title");
    },

    nextBoard() {
      if (!open) return;
      const { title, revision, meter, points } = open;
      view = "step";
      ui.drafts.label = "";
      if (of) {
        ui.drafts = { ...ui.drafts, revision, meter };
        open = null;
        return show("label");
      }
      keep(fresh({ title, revision, meter, points }), "next-title");
    },

    read() {
      ui.read = true;
      show(nextPlace());
    },

    ask(id) {
      ui.asking = id;
      show();
    },

    remove(id) {
      boards = boards.filter((one) => one.id !== id);
      ui.asking = "";
      void walks.keep.remove(id);
      show("begin-title");
    },

    save(id) {
      const walk = boards.find((one) => one.id === id);
      if (!walk) return;
      const name = [of || walk.title, walk.label, walk.started.slice(0, 10)].filter(Boolean).join("-");
      benchlore.form.download(
        "walk-" + name.toLowerCase().replace(/[^a-z0-9]+/g, "-") + ".json",
        walks.file.format(walk),
      );
    },

    load(input) {
      const file = input.files?.[0];
      if (!file) return;
      void file.text().then((text) => {
        try {
          const walk = walks.file.parse(text);
          if (walk.family !== of)
            throw new Error(
              walk.family
                ? "It is a walk of '" + walk.family + "'. Open it on that family\u2019s page."
                : "It is a walk of free points. Open it on the page for boards without records.",
            );
          message = null;
          const there = boards.some((one) => one.id === walk.id);
          view = "read";
          keep(there ? { ...walk, id: benchlore.job.newId(Date.now(), Math.random) } : walk, "read-title");
        } catch (error) {
          const reason = error instanceof Error ? error.message : String(error);
          message = { text: "The file was refused; nothing was changed. " + reason, save: false };
          show();
        }
      });
    },

    print: () => window.print(),

    dismiss() {
      message = null;
      show();
    },
  };

  /**
   * Why a function does not go with a bench state; null where it does.
   * @param {string} mode
   * @param {string} state
   */
  function unfit(mode, state) {
    const known = benchlore.vocabulary.functions[mode];
    const live = (benchlore.walkBook.states[state]?.sources || []).length > 0;
    if (!known || known.power === "either" || live === (known.power === "on")) return null;
    return live
      ? {
          reason: known.label + " is read without power",
          mend: "choose a bench state with nothing connected",
        }
      : { reason: known.label + " is read with power", mend: "choose a bench state with a source in" };
  }

  /* Digits are the answers, while no field is in focus. */
  document.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey || !/^[0-9]$/.test(event.key)) return;
    if (event.target !== document.body && !(event.target instanceof HTMLHeadingElement)) return;
    const answer = document.getElementById("answer-" + event.key);
    const field = document.getElementById("reading");
    if (answer) answer.click();
    else if (field instanceof HTMLInputElement) {
      field.focus();
      field.value += event.key;
      field.dispatchEvent(new Event("input", { bubbles: true }));
    } else return;
    event.preventDefault();
  });

  const ready = walks.keep.list(of).then(({ walks: found, damage }) => {
    boards = found;
    if (damage[0])
      message = {
        text: "A walk that this browser kept cannot be read, and was left as it is. " + damage[0],
        save: false,
      };
    show();
  });
  walks.page = { ready, settled: () => walks.keep.settled() };
})();
