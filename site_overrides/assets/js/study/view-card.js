/*
 * A session of cards: the question, what the answer was worth, and at the end what came of it all.
 */
(function () {
  "use strict";
  const benchlore = /** @type {StudyScripts} */ ((window.benchlore = window.benchlore || {}));
  const study = (benchlore.study = benchlore.study || /** @type {StudyParts} */ ({}));
  const { h, button } = benchlore.dom;
  const { form, radios, told, verdict, link, measureName } = study.parts;

  const SURE = [
    { value: "sure", label: "Sure" },
    { value: "fairly", label: "Fairly sure" },
    { value: "guess", label: "A guess" },
  ];

  /** @param {StudyPage} page */
  function render(page) {
    const session = /** @type {StudySession} */ (page.progress.session);
    const at = session.answers.length;
    if (page.drafts.feedback) return frame(page, session, at - 1, feedback(page, session, at - 1));
    if (at >= session.cards.length) return ended(page, session);
    return frame(page, session, at, question(page, session, at));
  }

  /** @type {(page: StudyPage, session: StudySession, at: number) => StudyQuestion | null} */
  function questionOf(page, session, at) {
    const card = page.context.deck.cards.find((one) => one.id === session.cards[at]);
    return card ? study.questions.ask(page.context, card, session.seed) : null;
  }

  /** @type {(page: StudyPage, session: StudySession, at: number, inside: HTMLElement) => HTMLDivElement} */
  function frame(page, session, at, inside) {
    return h(
      "div",
      { class: "study-session" },
      h(
        "div",
        { class: "bench-bar" },
        h(
          "p",
          { class: "bar-facts" },
          study.deck.EXERCISES[session.exercise].title +
            " \u00b7 card " +
            (at + 1) +
            " of " +
            session.cards.length +
            " \u00b7 seed " +
            study.seed.shown(page.context.deck, session),
        ),
        h(
          "div",
          { class: "bar-buttons" },
          button("Leave the session", () => page.act.home(), { class: "quiet", id: "leave" }),
        ),
      ),
      inside,
    );
  }

  /** @type {(page: StudyPage, session: StudySession, at: number) => HTMLElement} */
  function question(page, session, at) {
    const asked = questionOf(page, session, at);
    if (!asked) {
      return h(
        "section",
        { class: "panel" },
        h("h2", { id: "question", tabindex: "-1" }, "This card is no longer in the book"),
        h(
          "p",
          { class: "actions" },
          button("Next card", () => page.act.next(), { class: "primary" }),
        ),
      );
    }
    const exercise = study.exercises[asked.card.kind];
    const send = () => {
      const given = exercise.answer(page, asked, session);
      if ("refusal" in given) return page.act.refuse(given.key, given.refusal, given.focus);
      // Who claims nothing has claimed the least.
      page.act.answer({ sure: page.drafts.sure || "guess", ...given });
    };
    return h(
      "section",
      { class: "panel study-now", "aria-labelledby": "question" },
      form(
        send,
        exercise.view(page, asked, session),
        radios(page, "sure", "How sure are you?", SURE, { class: "choices-row" }),
        benchlore.dom.refusalOf(page.refusals.answer, "answer-refusal"),
        h(
          "p",
          { class: "actions" },
          h("button", { type: "submit", class: "primary", id: "send" }, "Check the answer"),
          button("I don\u2019t know", () => page.act.answer({ sure: "guess", unknown: true }), {
            class: "quiet",
            id: "unknown",
          }),
        ),
      ),
    );
  }

  /** @type {(page: StudyPage, session: StudySession, at: number) => HTMLElement} */
  function feedback(page, session, at) {
    const asked = questionOf(page, session, at);
    const answer = /** @type {StudyAnswer} */ (session.answers[at]);
    if (!asked)
      return h(
        "section",
        { class: "panel" },
        h("h2", { id: "question", tabindex: "-1" }, "This card is no longer in the book"),
        next(page, session, at),
      );
    const exercise = study.exercises[asked.card.kind];
    const marked = study.questions.mark(page.context, asked, answer);
    const state = page.progress.cards[asked.card.id];
    const comes = state
      ? state.again && state.last === page.day
        ? "It comes back today."
        : "It comes back on " + study.schedule.dateOf(state.due) + "."
      : "";
    return h(
      "section",
      { class: "panel study-now", "aria-labelledby": "question" },
      h(
        "h2",
        { id: "question", tabindex: "-1" },
        verdict(marked.right, marked.right ? "Right" : answer.unknown ? "This is the answer" : "Not right"),
      ),
      told(page, asked.measure, exercise.tells.setUp, exercise.tells.metered),
      marks(marked, answer),
      exercise.after(page, asked, answer),
      h(
        "p",
        { class: marked.right ? "" : "to-record" },
        marked.right ? "Its record: " : "Read its record: ",
        link(page.context.deck.measures[asked.measure].page, measureName(page.context, asked.measure)),
      ),
      h("p", { class: "hint" }, comes),
      next(page, session, at),
    );
  }

  /** @type {(page: StudyPage, session: StudySession, at: number) => HTMLParagraphElement} */
  function next(page, session, at) {
    const last = at + 1 >= session.cards.length;
    return h(
      "p",
      { class: "actions" },
      button(last ? "Close the session" : "Next card", () => page.act.next(), {
        class: "primary",
        id: "next",
      }),
    );
  }

  /**
   * Part by part: what was answered, what is true.
   * @type {(marked: StudyMarked, answer: StudyAnswer) => HTMLDivElement}
   */
  function marks(marked, answer) {
    const table = h(
      "table",
      { class: "grid marks" },
      h(
        "thead",
        null,
        h(
          "tr",
          null,
          ["Asked", "Your answer", "True"].map((name) => h("th", { scope: "col" }, name)),
        ),
      ),
      h(
        "tbody",
        null,
        marked.parts.map((part) =>
          h(
            "tr",
            null,
            h(
              "th",
              { scope: "row", "data-label": "Asked" },
              h("span", null, part.page ? link(part.page, part.name) : part.name),
            ),
            h(
              "td",
              { "data-label": "Your answer" },
              answer.unknown
                ? "\u2013"
                : h(
                    "span",
                    null,
                    verdict(part.right, part.right ? "right: " : "wrong: "),
                    part.yours || "nothing",
                  ),
            ),
            h(
              "td",
              { "data-label": "True" },
              h(
                "span",
                null,
                h("b", null, part.truth),
                part.why ? h("span", { class: "aside" }, part.why) : null,
              ),
            ),
          ),
        ),
      ),
    );
    return h("div", { class: "table-wrap" }, table);
  }

  /** @type {(page: StudyPage, session: StudySession) => HTMLElement} */
  function ended(page, session) {
    const rows = session.cards.map((id, n) => {
      const asked = questionOf(page, session, n);
      return {
        id,
        asked,
        marked:
          asked && session.answers[n] ? study.questions.mark(page.context, asked, session.answers[n]) : null,
      };
    });
    const right = rows.filter((row) => row.marked?.right).length;
    return h(
      "section",
      { class: "panel study-now", "aria-labelledby": "question" },
      h(
        "h2",
        { id: "question", tabindex: "-1" },
        "Session closed: " + right + " of " + rows.length + " right",
      ),
      h(
        "p",
        null,
        study.deck.EXERCISES[session.exercise].title + ", seed ",
        h("b", { class: "id" }, study.seed.shown(page.context.deck, session)),
        ". Wrong ones come back today and tomorrow; each leads to its record.",
      ),
      h(
        "ul",
        { class: "links" },
        rows.map((row) =>
          h(
            "li",
            null,
            row.marked ? verdict(row.marked.right, row.marked.right ? "right" : "wrong") : null,
            " ",
            row.asked
              ? link(
                  page.context.deck.measures[row.asked.measure].page,
                  study.exercises[row.asked.card.kind].words + measureName(page.context, row.asked.measure),
                )
              : row.id,
          ),
        ),
      ),
      h(
        "p",
        { class: "actions" },
        button("Study on", () => page.act.begin(session.exercise), { class: "primary", id: "study-on" }),
        button("Repeat this session", () => page.act.repeatSame(), { id: "repeat" }),
        button("Back to the path", () => page.act.home(), { id: "home" }),
      ),
    );
  }

  study.cardView = { render };
})();
