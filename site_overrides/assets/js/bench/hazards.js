/*
 * Hazards where they bite: the standing ones of a bench once a job, the most serious of a step in one line above its
 * card, and what a step's own work adds beside the step. Each says its signal word and what to do; the first time in
 * full.
 */
(function () {
  "use strict";
  const benchlore = /** @type {BenchScripts} */ ((window.benchlore = window.benchlore || {}));
  const { h, rich, plain, sign, details, button } = benchlore.dom;

  const SEVERITY = benchlore.vocabulary.signals;

  /**
   * The hazards that the book knows of these, each once, the most serious first.
   * @type {(book: BenchBook, ids: readonly string[]) => BenchHazard[]}
   */
  function bySeverity(book, ids) {
    /** @type {BenchHazard[]} */
    const known = [];
    for (const id of new Set(ids)) {
      const one = book.hazards[id];
      if (one) known.push(one);
    }
    return known.sort((a, b) => SEVERITY.indexOf(a.signal) - SEVERITY.indexOf(b.signal));
  }

  /**
   * What a bench brings whatever is done on it: the hazards of the family's bench states.
   * @param {BenchFamily} family
   */
  function standing(family) {
    const all = new Set(Object.values(family.states).flatMap((state) => state?.hazard || []));
    return [...all].filter((id) => !family.spared.includes(id));
  }

  /** Those that common records name and a board does not have. @param {BenchBook} book @param {string} family */
  function sparedOn(book, family) {
    return book.families.find(({ id }) => id === family)?.spared || [];
  }

  /**
   * The hazards that somebody's words speak of, on a board that has them.
   * @type {(book: BenchBook, family: string, words: string) => string[]}
   */
  function spoken(book, family, words) {
    const without = sparedOn(book, family);
    return Object.values(book.hazards).flatMap((one) =>
      one && !without.includes(one.id) && benchlore.searchEngine.speaksOf(words, one.said) ? [one.id] : [],
    );
  }

  /**
   * The hazards of what a board shows, that it has.
   * @type {(book: BenchBook, family: string, symptoms: readonly string[]) => string[]}
   */
  function ofSymptoms(book, family, symptoms) {
    const without = sparedOn(book, family);
    const shown = symptoms.flatMap((symptom) => (book.symptoms[symptom] || { hazard: [] }).hazard);
    return shown.filter((id) => !without.includes(id));
  }

  /**
   * The hazards of the complaint, on the first card that this page shows of a job.
   * @param {BenchPage} page
   */
  function brought({ book, job, ui }) {
    if (job.entries.length > ui.opened) return [];
    return [...ofSymptoms(book, job.family, job.symptoms), ...spoken(book, job.family, job.words)];
  }

  /**
   * Whether the standing hazards are above the card, to be read. Read, they make room for it; so they do once a job that
   * began on this page goes on without that. Who opens a job that is under way has not had them before him.
   * @param {BenchPage} page
   */
  function unread({ job, ui }) {
    return !ui.read && (ui.opened > 0 || job.entries.length === 0);
  }

  /** What the panel above the card says while nobody has read it. @param {BenchPage} page */
  function above(page) {
    return unread(page) ? standing(page.family) : [];
  }

  /**
   * Those of the hazards that do not stand on the bench anyway.
   * @type {(family: BenchFamily, ids: readonly string[]) => string[]}
   */
  function added(family, ids) {
    const anyway = standing(family);
    return ids.filter((id) => !anyway.includes(id));
  }

  /**
   * @param {BenchHazard} one
   * @param {string} more the class of its shape
   * @param {BenchChild} words
   * @param {string} [named] where others stand in it, too
   */
  function line(one, more, words, named = one.title) {
    const word = one.signal.toUpperCase();
    // A group, no landmark: the same one may stand on a page twice.
    return h(
      "div",
      {
        role: "group",
        class: "hazard hazard-" + one.signal + " " + more,
        "aria-label": word + ": " + named,
      },
      h("p", { class: "signal" }, one.signal === "notice" ? null : sign(), h("span", null, word)),
      h("div", { class: "hazard-words" }, words),
    );
  }

  /** Its name, and what to do first: the first sentence of its first control. @param {BenchHazard} one */
  function todo(one) {
    const words = plain(one.html.avoid[0] || one.html.harm);
    const [first] = words.match(/^.+?[.!](?=\s|$)/) || [words];
    return h("p", { class: "harm" }, link(one), h("span", { class: "todo" }, ": ", first));
  }

  /** @param {BenchHazard} one */
  function link(one) {
    return h("a", { href: one.page }, one.title);
  }

  /** What can happen, and every control. @param {BenchHazard} one */
  function whole(one) {
    return [
      rich("p", { class: "harm-told" }, one.html.harm),
      h(
        "ul",
        { class: "avoid" },
        one.html.avoid.map((control) => rich("li", null, control)),
      ),
    ];
  }

  /** A hazard in full. @param {BenchHazard} one */
  function panel(one) {
    return line(one, "hazard-whole", [h("p", { class: "harm" }, link(one)), whole(one)]);
  }

  /**
   * The hazards of the work of a fix: those of its steps, and what the record names besides. What stands on the bench
   * anyway is among them only where a step brings it; the proof has those of its readings.
   * @param {BenchFamily} family
   * @param {BenchFault} fault
   */
  function ofWork(family, fault) {
    const byStep = fault.fix.hazards.flat();
    const besides = added(family, fault.links.hazards).filter((id) => !byStep.includes(id));
    return { besides, all: [...besides, ...byStep] };
  }

  /**
   * The most serious hazard of what is asked, in one line; nothing where it stands beside it anyway.
   * @type {(book: BenchBook, ids: readonly string[], beside?: readonly string[]) => HTMLDivElement | null}
   */
  function top(book, ids, beside = []) {
    const [worst] = bySeverity(book, ids);
    if (!worst || beside.includes(worst.id)) return null;
    return h("div", { class: "hazards hazard-top" }, line(worst, "hazard-line", todo(worst)));
  }

  /**
   * One line each, with all of it behind; open where somebody can be hurt, but for what is met: the job has shown it, or
   * the card keeps it folded until a step brings it. Of those that the card has already (`shown`, which this adds to)
   * signal word and name alone.
   * @param {BenchBook} book
   * @param {readonly string[]} ids
   * @param {readonly string[]} met
   * @param {Set<string>} [shown]
   * @param {readonly string[]} [said] those whose line stands above the work: here without its first sentence
   */
  function lines(book, ids, met, shown = new Set(), said = []) {
    const known = bySeverity(book, ids);
    if (known.length === 0) return null;
    const again = known.filter((one) => shown.has(one.id));
    const made = known
      .filter((one) => !shown.has(one.id))
      .map((one) => {
        shown.add(one.id);
        const open = !met.includes(one.id) && one.signal !== "notice";
        return line(one, "hazard-line", [
          said.includes(one.id) ? h("p", { class: "harm" }, link(one)) : todo(one),
          details("hazard-" + one.id, "All of it", () => whole(one), open),
        ]);
      });
    if (again.length)
      made.push(
        h(
          "p",
          { class: "hazards-again" },
          "As above: ",
          again.map((one, n) => [n ? "; " : "", h("b", null, one.signal.toUpperCase()), " ", link(one)]),
          ".",
        ),
      );
    return h("div", { class: "hazards", role: "group", "aria-label": "Hazards of this work" }, made);
  }

  /**
   * Hazards in their order, those of one signal word together.
   * @param {BenchHazard[]} known the most serious first
   */
  function byWord(known) {
    return SEVERITY.map((word) => known.filter((one) => one.signal === word)).filter((of) => of.length > 0);
  }

  /**
   * Signal word and name of each, for work that is still to come.
   * @type {(book: BenchBook, ids: readonly string[]) => HTMLDivElement[]}
   */
  function names(book, ids) {
    const known = bySeverity(book, ids);
    return known.map((one) => line(one, "hazard-line hazard-named", h("p", { class: "harm" }, link(one))));
  }

  /**
   * The standing hazards, once a job; read, they are one press away.
   * @param {BenchPage} page
   */
  function before(page) {
    const known = bySeverity(page.book, standing(page.family));
    if (known.length === 0 || page.outcome.state !== "open") return null;
    if (page.ui.read)
      return h(
        "div",
        { class: "standing standing-read" },
        details("standing", "\u2713 All through this job", () => known.map((one) => panel(one))),
      );
    return h(
      "section",
      { class: "standing panel", "aria-labelledby": "standing-title" },
      h("h2", { id: "standing-title" }, "All through this job"),
      h(
        "div",
        { class: "hazards" },
        byWord(known).map((of) =>
          line(
            of[0],
            "hazard-line",
            of.map((one) => todo(one)),
            of.map((one) => one.title).join("; "),
          ),
        ),
      ),
      h(
        "div",
        { class: "actions" },
        button("Read", () => page.act.read(), { id: "standing-seen", key: "v", class: "primary" }),
        details("standing", "What can happen, and all that helps", () => known.map((one) => panel(one))),
      ),
    );
  }

  benchlore.hazards = {
    bySeverity,
    spoken,
    brought,
    standing,
    unread,
    above,
    added,
    ofWork,
    top,
    lines,
    names,
    before,
  };
})();
