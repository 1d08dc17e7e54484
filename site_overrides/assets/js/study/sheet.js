/*
 * The trainee's progress sheet, for paper: what is known of the path, and the simulated jobs.
 */
(function () {
  "use strict";
  const benchlore = /** @type {StudyScripts} */ ((window.benchlore = window.benchlore || {}));
  const study = (benchlore.study = benchlore.study || /** @type {StudyParts} */ ({}));
  const { h } = benchlore.dom;
  const { minutes } = benchlore.quantity;
  const { status } = study.parts;

  const LAST_JOBS = 20;
  /** @type {Readonly<Record<string, string>>} */
  const ENDS = { mended: "mended", escalated: "escalated", "came-back": "came back" };

  /** @param {StudyPage} page */
  function render(page) {
    const { deck, family } = page.context;
    const cards = deck.cards;
    const counts = study.deck.counts(cards, page.progress.cards, page.day);
    return h(
      "section",
      { class: "sheet" },
      h("h1", null, "Progress: " + family.title),
      h(
        "p",
        null,
        h("b", null, page.trainee || "Trainee: ____________________"),
        " \u00b7 " + study.schedule.dateOf(page.day) + " \u00b7 ",
        status("known", counts.known),
        " ",
        status("shaky", counts.shaky),
        " ",
        status("unseen", counts.unseen),
        " of " + counts.all + " cards",
      ),
      table(
        page,
        "Rails",
        deck.rails.map((stop) => [stop.net, study.deck.cardsOf(deck, "path", stop.net)]),
      ),
      table(
        page,
        "Lines",
        deck.lines.map((stop) => [stop.net, study.deck.cardsOf(deck, "path", stop.net)]),
      ),
      jobs(page),
    );
  }

  /**
   * @param {StudyPage} page
   * @param {string} title
   * @param {readonly [string, readonly StudyCard[]][]} rows
   */
  function table(page, title, rows) {
    const { kinds } = study.deck.EXERCISES.path;
    return h(
      "table",
      { class: "sheet-entries" },
      h("caption", null, title),
      h(
        "thead",
        null,
        h(
          "tr",
          null,
          ["Net", ...kinds.map((kind) => study.deck.EXERCISES[kind].title), "Wrong answers"].map((name) =>
            h("th", { scope: "col" }, name),
          ),
        ),
      ),
      h(
        "tbody",
        null,
        rows.map(([net, cards]) => {
          const wrong = cards.reduce(
            (sum, card) => sum + (page.progress.cards[card.id] || { wrong: 0 }).wrong,
            0,
          );
          return h(
            "tr",
            null,
            h("th", { scope: "row", class: "id" }, net),
            kinds.map((kind) => {
              const mine = cards.filter((card) => card.kind === kind);
              const counts = study.deck.counts(mine, page.progress.cards, page.day);
              const seen = /** @type {StudyStatus[]} */ (["known", "shaky", "unseen"]).filter(
                (one) => counts[one] > 0,
              );
              return h(
                "td",
                null,
                seen.map((one) => [status(one, counts[one]), " "]),
              );
            }),
            h("td", null, String(wrong)),
          );
        }),
      ),
    );
  }

  /** @param {StudyPage} page */
  function jobs(page) {
    const done = page.progress.jobs.slice(-LAST_JOBS);
    if (done.length === 0) return h("p", null, "No simulated job yet.");
    return h(
      "table",
      { class: "sheet-entries" },
      h("caption", null, "Simulated jobs, the last " + done.length),
      h(
        "thead",
        null,
        h(
          "tr",
          null,
          ["Date", "Symptom", "End", "Minutes", "The plan\u2019s", "Safety steps missed", "Seed"].map(
            (name) => h("th", { scope: "col" }, name),
          ),
        ),
      ),
      h(
        "tbody",
        null,
        done.map((job) => {
          const symptom = page.context.book.symptoms[job.symptom];
          return h(
            "tr",
            null,
            [
              study.schedule.dateOf(job.day),
              symptom ? symptom.title : job.symptom,
              ENDS[job.end],
              minutes(job.minutes),
              minutes(job.plan),
              String(job.missed),
              job.seed,
            ].map((text) => h("td", null, text)),
          );
        }),
      ),
    );
  }

  study.sheet = { page: render };
})();
