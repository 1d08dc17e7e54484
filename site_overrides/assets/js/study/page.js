/*
 * The study page: holds the progress, takes what the trainee does, keeps it, and shows the views again. The clock,
 * chance for a new seed, files and the store are met here and nowhere else.
 */
(function () {
  "use strict";
  const benchlore = /** @type {StudyScripts} */ ((window.benchlore = window.benchlore || {}));
  const study = (benchlore.study = benchlore.study || /** @type {StudyParts} */ ({}));
  const { h, button } = benchlore.dom;

  const root = /** @type {HTMLElement} */ (document.getElementById("study"));
  const deck = benchlore.studyFamily;
  const book = benchlore.benchBook;
  const family = benchlore.benchFamilies[deck.family];
  const context = { book, family, deck, one: benchlore.cases.caseOf(book, family, "", deck.meter) };

  const MOST_SEEDS = 2000; // after so many a long seed will do

  let progress = study.progress.empty();
  let trainee = "";
  /** @type {Record<string, any>} */
  let drafts = {};
  /** @type {Record<string, BenchRefusal>} */
  let refusals = {};
  /** @type {StudyPage["asking"]} */
  let asking = "";
  /** @type {StudyMessage[]} */
  let messages = [];
  /** @type {StudyFile | null} */
  let waiting = null;

  /** The day at the bench, by the PC's own calendar. */
  function today() {
    const now = new Date();
    const two = (/** @type {number} */ value) => String(value).padStart(2, "0");
    return study.schedule.dayOf(now.getFullYear() + "-" + two(now.getMonth() + 1) + "-" + two(now.getDate()));
  }

  /**
   * A new seed. For a simulated job one that draws its symptom by itself, so that a short seed repeats it; about as
   * many are thrown away as there are symptoms.
   * @type {(exercise: string, cards: readonly string[]) => string}
   */
  function freshSeed(exercise, cards) {
    let seed = "";
    for (let n = 0; n < MOST_SEEDS; n += 1) {
      seed = study.random.seedOf(crypto.getRandomValues(new Uint8Array(6)));
      if (exercise !== "job" || study.seed.shown(deck, { exercise, seed, cards }) === seed) break;
    }
    return seed;
  }

  /** @returns {StudyPage} */
  function snapshot() {
    return { context, progress, trainee, day: today(), act, drafts, refusals, asking, messages };
  }

  /* Showing. */

  /** @param {string} [focus] id of the element to go to */
  function show(focus) {
    const page = snapshot();
    const session = progress.session;
    const view = !session
      ? study.homeView.render(page)
      : session.exercise === "job"
        ? study.jobView.render(page)
        : study.cardView.render(page);
    root.replaceChildren(
      benchlore.dom.local(h("div", { class: "no-print" }, messages.map(message), view)),
      h("div", { class: "bench-sheet study-sheet" }),
    );
    const place = focus ? document.getElementById(focus) : null;
    if (place) {
      place.focus();
      const refused =
        place.getAttribute("aria-describedby") || place.closest("fieldset")?.getAttribute("aria-describedby");
      if (refused) document.getElementById(refused)?.scrollIntoView({ block: "nearest" });
      place.scrollIntoView({ block: "nearest" });
    }
    writeAddress();
  }

  /** @param {StudyMessage} one */
  function message(one) {
    return h(
      "div",
      { class: "message", role: "alert" },
      h("p", null, one.text),
      h(
        "p",
        { class: "actions" },
        one.actions.map(([label, press]) => button(label, press)),
        button("Close", () => act.dismiss(one.id), { class: "quiet", name: "Close this message" }),
      ),
    );
  }

  /** @type {(id: string, text: string, actions?: (readonly [string, () => void])[]) => void} */
  function tell(id, text, actions = []) {
    messages = messages.filter((one) => one.id !== id).concat([{ id, text, actions }]);
  }

  /** The session into the address, so that it can be repeated from a bookmark. */
  function writeAddress() {
    const session = progress.session;
    const hash = session
      ? "#" +
        new URLSearchParams({
          exercise: session.exercise,
          seed: session.seed,
          cards: session.cards.join(" "),
          ...(session.typed ? { typed: "1" } : {}),
        }).toString()
      : "";
    try {
      history.replaceState(null, "", hash || location.pathname + location.search);
    } catch {
      // A browser that was asked too often refuses for a while; the next change writes it.
    }
  }

  /**
   * The session that the address names, or null.
   * @returns {StudySession | null}
   */
  function fromAddress() {
    const named = new URLSearchParams(location.hash.slice(1));
    const exercise = named.get("exercise") || "";
    const seed = study.random.spelled(named.get("seed") || "");
    const cards = (named.get("cards") || "")
      .split(" ")
      .filter((id) => deck.cards.some((card) => card.id === id));
    if (!Object.hasOwn(study.deck.EXERCISES, exercise) || !seed || cards.length === 0) return null;
    return session(exercise, seed, cards, named.get("typed") === "1");
  }

  /* Changing. */

  /** @type {(changed: StudyProgress, focus?: string) => void} */
  function keep(changed, focus) {
    progress = changed;
    refusals = {};
    show(focus);
    const mine = progress;
    void study.keep.save(deck.family, mine).then((kept) => {
      if (kept === null) {
        tell(
          "store",
          "This browser could not keep your progress. It stands on this page only: save it to a file before you close the page.",
          [["Save to a file", () => act.save()]],
        );
        show();
      } else if (progress === mine && Object.keys(kept.cards).length !== Object.keys(mine.cards).length)
        progress = kept;
    });
  }

  /**
   * @param {string} exercise one of the vocabulary
   * @param {string} seed
   * @param {readonly string[]} cards
   * @param {boolean} typed
   * @returns {StudySession}
   */
  function session(exercise, seed, cards, typed) {
    const known = /** @type {StudyExercise} */ (exercise);
    return { exercise: known, seed, typed, day: today(), cards, answers: [], events: [] };
  }

  /** @param {StudySession} fresh */
  function open(fresh) {
    drafts = { typed: drafts.typed };
    asking = "";
    keep(study.progress.withSession(progress, fresh), fresh.exercise === "job" ? "do-title" : "question");
  }

  /** @type {StudyActs} */
  const act = {
    begin(exercise, subject) {
      const cards = study.deck.next(
        study.deck.cardsOf(deck, exercise, subject),
        progress.cards,
        today(),
        study.seed.sizeOf(exercise),
      );
      if (cards.length === 0) return;
      open(session(exercise, freshSeed(exercise, cards), cards, drafts.typed === true));
    },

    repeat(exercise, typed) {
      const found = study.seed.read(deck, exercise, typed);
      if ("reason" in found) return act.refuse("again-seed", found, "again-seed");
      open(session(found.exercise, found.seed, found.cards, drafts.typed === true));
    },

    repeatSame() {
      const now = progress.session;
      if (now) open(session(now.exercise, now.seed, now.cards, now.typed));
    },

    answer(answer) {
      const now = progress.session;
      if (!now) return;
      const card = deck.cards.find((one) => one.id === now.cards[now.answers.length]);
      let changed = study.progress.withSession(
        progress,
        Object.assign({}, now, { answers: now.answers.concat([answer]) }),
      );
      if (card) {
        const marked = study.questions.mark(context, study.questions.ask(context, card, now.seed), answer);
        changed = study.progress.answered(changed, card.id, marked.grade, today());
      }
      drafts = { typed: drafts.typed, feedback: true };
      keep(changed, "question");
    },

    next() {
      const now = progress.session;
      const gone = now && !drafts.feedback && now.answers.length < now.cards.length;
      drafts = { typed: drafts.typed };
      // A card that has left the book is passed over.
      if (now && gone)
        return keep(
          study.progress.withSession(
            progress,
            Object.assign({}, now, { answers: now.answers.concat([{ sure: "guess", unknown: true }]) }),
          ),
          "question",
        );
      show("question");
    },

    event(event) {
      const now = progress.session;
      if (!now) return;
      const after = Object.assign({}, now, { events: now.events.concat([event]) });
      const stays =
        event.do === "measure"
          ? { measure: drafts.measure, state: drafts.state, unplugged: drafts.unplugged }
          : {};
      drafts = Object.assign({ typed: drafts.typed }, stays);
      const symptom = now.cards[0].replace(/^job\//, "");
      const job = study.job.begin(book, family, deck.meter, symptom, now.seed);
      const played = study.job.play(job, deck, after.events);
      let changed = study.progress.withSession(progress, after);
      if (played.stage === "over") {
        const plan = study.debrief.planPath(job).minutes;
        const missed = study.job.missedSteps(played.entries);
        changed = study.progress.answered(
          changed,
          now.cards[0],
          study.job.gradeOf(job, played, plan),
          today(),
        );
        changed = study.progress.withJob(changed, {
          day: today(),
          seed: now.seed,
          symptom,
          minutes: played.minutes,
          plan,
          missed,
          end: /** @type {StudyJobResult["end"]} */ (played.end),
        });
      }
      const last = played.entries[played.entries.length - 1];
      const unsafe = played.stage === "confirm" && last !== undefined && last.harms.length > 0;
      keep(
        changed,
        played.stage === "over" ? "debrief-title" : played.stage === "work" || unsafe ? "came" : "do-title",
      );
    },

    home() {
      drafts = { typed: drafts.typed };
      keep(study.progress.withSession(progress, null), "today-title");
    },

    draft(key, value) {
      drafts[key] = value;
    },

    redraw(focus) {
      refusals = {};
      show(focus);
    },

    refuse(key, refusal, focus) {
      refusals = { [key]: refusal };
      show(focus);
    },

    name(name) {
      trainee = name;
      void study.keep.nameTrainee(name);
    },

    save() {
      void everything().then((families) => {
        const date = study.schedule.dateOf(today());
        benchlore.form.download(
          "study-progress-" + date + ".json",
          study.progress.format(trainee, date, families),
        );
      });
    },

    load(input) {
      const file = input.files?.[0];
      if (!file) return;
      void file.text().then((text) => {
        try {
          waiting = study.progress.parse(text);
        } catch (error) {
          waiting = null;
          tell(
            "load",
            "The file was refused; your progress stays as it was. " +
              (error instanceof Error ? error.message : String(error)),
          );
          return show("progress-title");
        }
        messages = messages.filter((one) => one.id !== "load");
        return anything().then((some) => (some ? act.ask("load") : act.replace(true)));
      });
    },

    replace(sure) {
      const file = waiting;
      if (!sure || !file) return;
      waiting = null;
      asking = "";
      void use(file);
    },

    wipe(sure) {
      if (!sure) return;
      asking = "";
      void study.keep.wipe().then(() => {
        progress = study.progress.empty();
        trainee = "";
        drafts = {};
        tell("wiped", "The progress is wiped.");
        show("progress-title");
      });
    },

    ask(what) {
      asking = what;
      if (what === "") waiting = null;
      show(what === "wipe" ? "wipe-question" : what === "load" ? "load-question" : "progress-title");
    },

    print() {
      const sheet = /** @type {HTMLElement} */ (root.querySelector(".study-sheet"));
      sheet.replaceChildren(study.sheet.page(snapshot()));
      window.print();
    },

    dismiss(id) {
      messages = messages.filter((one) => one.id !== id);
      show();
    },
  };

  /* Files. */

  /** The progress of every family. @returns {Promise<Record<string, StudyProgress>>} */
  async function everything() {
    /** @type {Record<string, StudyProgress>} */
    const found = {};
    for (const id of await study.keep.families()) {
      const { progress: one, damage } = await study.keep.load(id);
      if (!damage) found[id] = one;
    }
    found[deck.family] = progress;
    return found;
  }

  async function anything() {
    const all = Object.values(await everything());
    return all.some((one) => Object.keys(one.cards).length > 0 || one.jobs.length > 0);
  }

  /** @param {StudyFile} file */
  async function use(file) {
    const kept = await study.keep.replaceAll(file.families);
    trainee = file.trainee;
    await study.keep.nameTrainee(trainee);
    progress = file.families[deck.family] || study.progress.empty();
    drafts = {};
    const cards = Object.values(file.families).reduce((sum, one) => sum + Object.keys(one.cards).length, 0);
    tell(
      "load",
      kept
        ? "Loaded: " +
            benchlore.quantity.plural(cards, "card") +
            " of " +
            (trainee || "a trainee without a name") +
            ", saved on " +
            file.saved +
            "."
        : "This browser could not keep the file\u2019s progress. It stands on this page only.",
    );
    show(progress.session ? "question" : "progress-title");
  }

  /* Opening. */

  async function start() {
    const [{ progress: found, damage }, name] = await Promise.all([
      study.keep.load(deck.family),
      study.keep.trainee(),
    ]);
    progress = found;
    trainee = name;
    if (damage)
      tell(
        "damage",
        "The progress that this browser kept cannot be read, and is left as it is. " +
          damage +
          " Load a saved file, or wipe it to begin anew.",
      );
    const named = fromAddress();
    const kept = progress.session;
    const same =
      named &&
      kept &&
      named.exercise === kept.exercise &&
      named.seed === kept.seed &&
      named.cards.join() === kept.cards.join();
    if (named && !same) return open(named);
    try {
      show();
    } catch (error) {
      if (!kept) throw error;
      progress = study.progress.withSession(progress, null);
      tell(
        "session",
        "The session that was open cannot be shown with this book, and was closed: " +
          (error instanceof Error ? error.message : String(error)),
      );
      show();
    }
  }

  // A print from the browser's own menu has the sheet too.
  window.addEventListener("beforeprint", () => {
    const sheet = root.querySelector(".study-sheet");
    if (sheet) sheet.replaceChildren(study.sheet.page(snapshot()));
  });
  study.page = { settled: () => study.keep.settled() };
  void start();
})();
