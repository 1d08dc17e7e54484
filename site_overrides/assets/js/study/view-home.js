/*
 * A family at a glance: what comes today, the exercises, the path with what is known of it, the progress and its file.
 */
(function () {
  "use strict";
  const benchlore = /** @type {StudyScripts} */ ((window.benchlore = window.benchlore || {}));
  const study = (benchlore.study = benchlore.study || /** @type {StudyParts} */ ({}));
  const { h, rich, button } = benchlore.dom;
  const { plural } = benchlore.quantity;
  const { form, status } = study.parts;

  /** @param {StudyPage} page */
  function render(page) {
    return h(
      "div",
      { class: "study-home" },
      today(page),
      exercises(page),
      path(page),
      again(page),
      keeping(page),
    );
  }

  /** @param {StudyPage} page */
  function today(page) {
    const cards = study.deck.cardsOf(page.context.deck, "path");
    const counts = study.deck.counts(cards, page.progress.cards, page.day);
    const words = counts.due
      ? plural(counts.due, "card is", "cards are") + " due today."
      : "Nothing is due today.";
    const fresh = counts.unseen
      ? " " + plural(counts.unseen, "card is", "cards are") + " still unseen."
      : " You have seen every card.";
    return h(
      "section",
      { class: "panel study-now", "aria-labelledby": "today-title" },
      h("h2", { id: "today-title", tabindex: "-1" }, "Today"),
      h("p", { class: "asks" }, words + fresh + " Take as long as you like: nothing here counts the time."),
      h(
        "p",
        { class: "actions" },
        button(counts.due ? "Study what is due" : "Study the next cards", () => page.act.begin("path"), {
          class: "primary",
          id: "begin-path",
        }),
      ),
    );
  }

  /** The exercises that ask one kind of card, and those that mix some. */
  const single = () => Object.entries(study.deck.EXERCISES).filter(([, one]) => one.kinds.length === 1);
  const several = () => Object.entries(study.deck.EXERCISES).filter(([, one]) => one.kinds.length > 1);

  /** @param {StudyPage} page */
  function exercises(page) {
    const { deck } = page.context;
    return h(
      "section",
      { class: "panel", "aria-labelledby": "exercises-title" },
      h("h2", { id: "exercises-title" }, "Exercises"),
      h(
        "ul",
        { class: "exercises" },
        single().map(([id, one]) =>
          h(
            "li",
            null,
            h("h3", null, one.title),
            h("p", null, one.what),
            known(page, study.deck.cardsOf(deck, id)),
            h(
              "p",
              { class: "actions" },
              button("Begin", () => page.act.begin(id), { id: "begin-" + id, name: "Begin: " + one.title }),
            ),
          ),
        ),
      ),
      h(
        "label",
        { class: "choice choice-wide" },
        h("input", {
          type: "checkbox",
          id: "typed",
          checked: page.drafts.typed === true,
          onchange: (/** @type {Event} */ event) =>
            page.act.draft("typed", /** @type {HTMLInputElement} */ (event.target).checked),
        }),
        h(
          "span",
          null,
          "Type healthy ranges instead of picking them",
          h("span", { class: "aside" }, "Each end may be off by 5\u00a0%, or by the meter\u2019s accuracy."),
        ),
      ),
    );
  }

  /**
   * How much of some cards is known, in words with shapes.
   * @type {(page: StudyPage, cards: readonly StudyCard[]) => HTMLParagraphElement}
   */
  function known(page, cards) {
    const counts = study.deck.counts(cards, page.progress.cards, page.day);
    return h(
      "p",
      { class: "counts" },
      status("known", counts.known),
      status("shaky", counts.shaky),
      status("unseen", counts.unseen),
      counts.due ? h("span", { class: "due" }, counts.due + " due") : null,
    );
  }

  /**
   * The same for one stop of the path: only what there is.
   * @type {(page: StudyPage, cards: readonly StudyCard[]) => HTMLParagraphElement}
   */
  function knownHere(page, cards) {
    const counts = study.deck.counts(cards, page.progress.cards, page.day);
    const some = /** @type {StudyStatus[]} */ (["known", "shaky", "unseen"]).filter((one) => counts[one] > 0);
    return h(
      "p",
      { class: "counts" },
      some.map((one) => status(one, counts[one])),
      counts.due ? h("span", { class: "due" }, counts.due + " due") : null,
    );
  }

  /** @param {StudyPage} page */
  function path(page) {
    const { deck, book } = page.context;
    return h(
      "section",
      { class: "panel", "aria-labelledby": "path-title" },
      h("h2", { id: "path-title" }, "The path through this board"),
      h(
        "p",
        null,
        "First the rails, in the order in which they come up. Then the lines that hang on them. Then what goes wrong.",
      ),
      h("h3", { id: "path-rails" }, "1. Rails"),
      stops(page, deck.rails, "path-rails"),
      h("h3", { id: "path-lines" }, "2. Lines"),
      stops(page, deck.lines, "path-lines"),
      h("h3", { id: "path-symptoms" }, "3. Symptoms"),
      h(
        "ol",
        { class: "stops", "aria-labelledby": "path-symptoms" },
        deck.symptoms.map((one) => {
          const symptom = book.symptoms[one.id];
          const title = symptom ? symptom.title : one.id;
          const [card] = study.deck.cardsOf(deck, "job", one.id);
          return h(
            "li",
            null,
            h("p", { class: "stop-name" }, symptom ? study.parts.link(symptom.page, title) : title),
            h(
              "p",
              { class: "stop-for" },
              plural(one.faults.length, "fault shows", "faults show") +
                " it, seen in " +
                plural(one.jobs, "job") +
                ".",
            ),
            h("p", { class: "counts" }, status(study.schedule.statusOf(page.progress.cards[card.id]))),
            button("A simulated job", () => page.act.begin("job", one.id), {
              class: "other",
              name: "A simulated job: " + title,
            }),
          );
        }),
      ),
    );
  }

  /** @type {(page: StudyPage, stops: readonly StudyStop[], label: string) => HTMLOListElement} */
  function stops(page, stops, label) {
    const { deck, family } = page.context;
    return h(
      "ol",
      { class: "stops", "aria-labelledby": label },
      stops.map((stop) => {
        const cards = study.deck.cardsOf(deck, "path", stop.net);
        const net = family.nets[stop.net];
        return h(
          "li",
          null,
          h(
            "p",
            { class: "stop-name" },
            h("a", { class: "id", href: net ? net.page : "" }, stop.net),
            stop.nominal ? h("span", { class: "reading" }, stop.nominal) : null,
          ),
          h(
            "p",
            { class: "stop-for" },
            rich("span", null, stop.for),
            stop.above.length
              ? h("span", { class: "aside" }, " Hangs on " + stop.above.join(", ") + ".")
              : null,
          ),
          cards.length
            ? knownHere(page, cards)
            : h("p", { class: "counts aside" }, "no measurement in the book"),
          cards.length
            ? button("Practise", () => page.act.begin("path", stop.net), {
                class: "other",
                name: "Practise " + stop.net,
              })
            : null,
        );
      }),
    );
  }

  /** @param {StudyPage} page */
  function again(page) {
    const send = () =>
      page.act.repeat(page.drafts["again-exercise"] || "reads", page.drafts["again-seed"] || "");
    return h(
      "section",
      { class: "panel", "aria-labelledby": "again-title" },
      h("h2", { id: "again-title" }, "Repeat a session from its seed"),
      h(
        "p",
        null,
        "Type the seed that a session showed: it asks everybody the same cards with the same readings, or hides the same fault. Cards that were chosen from somebody\u2019s progress are named in it, after the first dash; such a seed knows its exercise. Any other word draws cards of the exercise that you choose.",
      ),
      form(
        send,
        h("label", { class: "field", for: "again-exercise" }, "Exercise"),
        h(
          "select",
          {
            id: "again-exercise",
            autocomplete: "off",
            onchange: (/** @type {Event} */ event) =>
              page.act.draft("again-exercise", /** @type {HTMLSelectElement} */ (event.target).value),
          },
          [...single(), ...several()].map(([id, one]) =>
            h("option", { value: id, selected: id === page.drafts["again-exercise"] }, one.title),
          ),
        ),
        h("label", { class: "field", for: "again-seed" }, "Seed"),
        h("input", {
          type: "text",
          id: "again-seed",
          autocomplete: "off",
          spellcheck: "false",
          maxlength: "60",
          value: page.drafts["again-seed"] || "",
          "aria-describedby": "again-seed-refusal",
          "aria-invalid": page.refusals["again-seed"] ? "true" : null,
          oninput: (/** @type {Event} */ event) =>
            page.act.draft("again-seed", /** @type {HTMLInputElement} */ (event.target).value),
        }),
        benchlore.dom.refusalOf(page.refusals["again-seed"], "again-seed-refusal"),
        h(
          "p",
          { class: "actions" },
          h("button", { type: "submit", id: "again-begin" }, "Begin with this seed"),
        ),
      ),
    );
  }

  /** @param {StudyPage} page */
  function keeping(page) {
    const { act } = page;
    return h(
      "section",
      { class: "panel", "aria-labelledby": "progress-title" },
      h("h2", { id: "progress-title", tabindex: "-1" }, "Your progress"),
      h(
        "p",
        null,
        "It stays in this browser and goes nowhere. Save it to a file to take it to another PC, or to keep it safe.",
      ),
      h("label", { class: "field", for: "trainee" }, "Name on the progress sheet and in the file"),
      h("input", {
        type: "text",
        id: "trainee",
        maxlength: "60",
        autocomplete: "off",
        value: page.trainee,
        onchange: (/** @type {Event} */ event) =>
          act.name(/** @type {HTMLInputElement} */ (event.target).value.trim()),
      }),
      h(
        "p",
        { class: "actions" },
        button("Save to a file", () => act.save(), { id: "save" }),
        h(
          "label",
          { class: "file", for: "load" },
          "Load from a file",
          h("input", {
            type: "file",
            id: "load",
            accept: ".json,application/json",
            onchange: (/** @type {Event} */ event) =>
              act.load(/** @type {HTMLInputElement} */ (event.target)),
          }),
        ),
        button("Print the progress sheet", () => act.print(), { id: "print" }),
        button("Wipe the progress", () => act.ask("wipe"), { id: "wipe", class: "quiet" }),
      ),
      page.asking === "wipe" ? wiping(page) : null,
      page.asking === "load" ? loading(page) : null,
      h(
        "p",
        { class: "hint" },
        study.parts.link("study/" + page.context.family.id + "-handout.html", "The handout of this board"),
        " has its rails, points and typical faults on paper.",
      ),
      h(
        "details",
        null,
        h("summary", null, "When cards come back"),
        h(
          "p",
          null,
          "By the published rule SM-2 (P. A. Wo\u017aniak, \u201cOptimization of learning\u201d, Master\u2019s thesis, University of Technology in Pozna\u0144, 1990): after 1 day, after 6 days, then each time after the last interval times a factor. The factor starts at 2.5, grows with answers that were right and sure, and falls with those that were a guess. A wrong answer starts the card again, and brings it back the same day.",
        ),
        h(
          "p",
          null,
          "Grades: right and sure 5, fairly sure 4, a guess 3; partly right 2, wrong 1, \u201cI don\u2019t know\u201d 0. Known: right, and at least fairly sure, twice running. A right answer before its day is practice and moves no date.",
        ),
        h(
          "p",
          null,
          "Readings are drawn for the meter \u201c" +
            meterTitle(page) +
            "\u201d, by the counter-based generator Philox4x32-10 (Salmon, Moraes, Dror, Shaw, 2011), so the same seed gives the same session. In a simulated job two readings in a hundred mean nothing, as when a probe slips or what is seen is misread.",
        ),
      ),
    );
  }

  /** @param {StudyPage} page */
  function meterTitle(page) {
    const meter = page.context.book.meters[page.context.deck.meter];
    return meter ? meter.title : page.context.deck.meter;
  }

  /** @param {StudyPage} page */
  function wiping(page) {
    return question(
      "wipe",
      "Wipe the progress of every board in this browser?",
      " It cannot be undone. Save it to a file first if you may need it.",
      button("Keep it", () => page.act.ask(""), { class: "primary", id: "wipe-no" }),
      button("Wipe it", () => page.act.wipe(true), { id: "wipe-yes" }),
    );
  }

  /** @param {StudyPage} page */
  function loading(page) {
    return question(
      "load",
      "Put the file\u2019s progress in the place of what is here?",
      " What is here now is lost unless you save it first.",
      button("Keep what is here", () => page.act.ask(""), { class: "primary", id: "load-no" }),
      button("Use the file", () => page.act.replace(true), { id: "load-yes" }),
    );
  }

  /** @type {(id: string, asked: string, more: string, ...answers: HTMLElement[]) => HTMLElement} */
  function question(id, asked, more, ...answers) {
    return h(
      "div",
      { class: "message", role: "group", "aria-labelledby": id + "-question" },
      h("p", { id: id + "-question", tabindex: "-1" }, h("b", null, asked), more),
      h("p", { class: "actions" }, answers),
    );
  }

  study.homeView = { render };
})();
