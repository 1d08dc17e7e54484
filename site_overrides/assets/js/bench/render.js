/*
 * Render: shows the state: messages, bar, card, verdict, ranking, entries, dialogs; puts the focus where it belongs.
 */
(function () {
  "use strict";
  const benchlore = /** @type {BenchScripts} */ ((window.benchlore = window.benchlore || {}));
  const { h, button, renew, renewWithin, place } = benchlore.dom;
  const book = benchlore.benchBook;
  const { state: desk, snapshot } = benchlore.desk;
  const root = /** @type {HTMLElement} */ (document.getElementById("bench"));
  let saidLast = "";
  /** What the buttons do; given by `mount`, since it is made of parts that show the page. @type {BenchActs} */
  let act;

  /** @returns {BenchPage} */
  function pageNow() {
    return Object.assign(snapshot(), { act });
  }

  const parts = {
    messages: h("div", { class: "messages no-print" }),
    live: h("p", { class: "unseen", role: "status", "aria-live": "polite", id: "bench-live" }),
    bar: h("div", { class: "bench-bar no-print" }),
    work: h("div", { class: "bench-work no-print", id: "bench-work" }),
    over: h("div", { class: "no-print" }),
    sheet: h("div", { class: "bench-sheet", id: "bench-sheet" }),
  };

  function show() {
    const page = pageNow();
    const active = document.activeElement;
    const selection =
      active instanceof HTMLInputElement && active.type === "text" ? active.selectionStart : null;
    const focus = desk.ui.focus || (active && root.contains(active) ? active.id : "");
    const asked = desk.ui.focus;
    desk.ui.focus = "";
    const opened = openDetails();
    const card = cardShown();
    parts.messages.replaceChildren(...desk.ui.messages.map(messageOf), ...problemsOf(page));
    parts.work.className = "bench-work no-print view-" + desk.ui.view;
    showWork(views(page));
    parts.bar.className = "no-print " + (desk.ui.view === "work" ? "view-bar" : "bench-bar");
    renewWithin(parts.bar, bar(page));
    showDialog(page);
    // A hazard of a new card opens by itself where it is new.
    const same = card === cardShown();
    for (const id of opened) {
      const one = document.getElementById(id);
      if (same || !one?.closest("#next .hazard")) benchlore.dom.unfold(one);
    }
    focusOn(focus, asked, selection);
    window.clearTimeout(sheetTimer);
    sheetTimer = window.setTimeout(showSheet, 300);
  }

  let sheetTimer = 0;
  function showSheet() {
    const job = benchlore.job.present(desk.log);
    if (desk.assessment)
      parts.sheet.replaceChildren(
        benchlore.sheet.page(benchlore.sheet.sheetOf(book, desk.family, job, desk.assessment)),
      );
    else
      parts.sheet.replaceChildren(
        h("p", null, "No job is open: choose a board and a symptom on the bench page."),
      );
  }

  /**
   * Card and verdict are new each time, and so read out anew; what stands beside them stays where it is alike.
   * @param {HTMLElement[]} fresh
   */
  function showWork(fresh) {
    const beside = [...parts.work.children].filter((one) => one.matches(".side, .standing"));
    const stays = fresh.map((one) =>
      beside.find((shown) => shown.tagName === one.tagName && shown.className === one.className),
    );
    place(
      parts.work,
      fresh.map((one, n) => stays[n] || one),
    );
    stays.forEach((shown, n) => {
      if (shown) renew(shown, fresh[n]);
    });
  }

  /** @param {BenchPage} page @returns {HTMLElement[]} */
  function views(page) {
    if (desk.ui.view === "setup" || !desk.assessment) return [benchlore.setupView.render(page)];
    const card = benchlore.card(page);
    card.id = "next";
    card.tabIndex = -1;
    card.dataset.kind = page.outcome.state === "open" ? page.next.kind : "closed";
    card.dataset.id = page.next.id;
    const verdict = benchlore.verdictView.render(page);
    if (verdict) {
      verdict.id = "verdict";
      verdict.tabIndex = -1;
    }
    const ranking = page.outcome.state === "proved" ? null : benchlore.rankingView.render(page);
    const side = h("div", { class: "side" }, ranking, benchlore.historyView.render(page));
    const before = standing(page);
    const work = page.outcome.state === "open" && page.next.kind === "fix";
    const main = work && benchlore.verdictView.settled(page) ? [card, verdict] : [verdict, card];
    const shown = benchlore.hazards.unread(page) ? [before, ...main, side] : [...main, side, before];
    return shown.filter((one) => one !== null);
  }

  /** @type {{family: BenchFamily, read: boolean, element: HTMLElement | null} | null} */
  let stands = null;

  /**
   * The standing hazards of an open job: the same element as long as it is shown and they are not read meanwhile.
   * @param {BenchPage} page
   */
  function standing(page) {
    const { family, ui, outcome } = page;
    if (outcome.state !== "open") return null;
    const same = stands?.element?.isConnected && stands.family === family && stands.read === ui.read;
    if (!stands || !same) stands = { family, read: ui.read, element: benchlore.hazards.before(page) };
    return stands.element;
  }

  /** @param {BenchPage} page @returns {HTMLElement[]} */
  function bar(page) {
    const { job } = page;
    const listed = book.families.find((one) => one.id === job.family);
    const meter = book.meters[job.meter];
    const facts = [
      job.label,
      listed ? listed.title : "",
      listed ? (job.revision ? "rev. " + job.revision : "revision not known") : "",
      benchlore.parts.complaints(book, job).join("; "),
      meter ? meter.title : "",
    ];
    const words = facts.filter(Boolean).join(" \u00b7 ");
    const work = desk.ui.view === "work";
    return [
      work
        ? h("p", { class: "bar-facts" }, words)
        : h(
            "h2",
            { class: "bar-facts", id: "setup-title", tabindex: "-1" },
            job.entries.length ? "What is on the bench?" : "New job",
          ),
      h(
        "div",
        { class: "bar-buttons" },
        work ? button("Change", () => act.setup(), { key: "e", id: "change" }) : null,
        page.ui.chosen && work
          ? button("Back to the best", () => act.best(), { key: "b", id: "best" })
          : null,
        button("Jobs", () => act.open("jobs"), { key: "j", id: "jobs" }),
        button("Keys", () => act.open("keys"), { key: "?", id: "keys" }),
      ),
    ];
  }

  /** @param {BenchPage} page */
  function showDialog(page) {
    const before = parts.over.firstElementChild;
    const scroll = before ? before.scrollTop : 0;
    parts.over.replaceChildren();
    if (!desk.ui.dialog || (desk.ui.dialog === "list" && !desk.assessment)) return;
    const over = benchlore.dialogs[/** @type {"keys" | "list" | "jobs"} */ (desk.ui.dialog)](page);
    parts.over.append(over);
    over.showModal();
    over.scrollTop = scroll;
  }

  /** What was unfolded. */
  function openDetails() {
    return [...root.querySelectorAll("details[open][id]")].map((one) => one.id);
  }

  /** What the card asks for, and the step of its work. */
  function cardShown() {
    const card = document.getElementById("next");
    const step = card?.querySelector(".step-work > .step-what")?.textContent;
    return [card?.dataset.kind, card?.dataset.id, step].join(" ");
  }

  /**
   * @param {string} id
   * @param {string} asked what an action asked for; only that may scroll
   * @param {number | null} selection
   */
  function focusOn(id, asked, selection) {
    const wanted = id === "verdict" ? "next" : id;
    const element =
      document.getElementById(wanted) ||
      document.getElementById(wanted + "-1") ||
      document.getElementById("next") ||
      document.getElementById("setup-title");
    if (!id || !element) return;
    element.focus({ preventScroll: asked === "" || id === "verdict" || id === "next" });
    // What was refused of a proof comes with its field; where both do not fit, the field.
    const refused = asked && element.closest(".proof-one")?.querySelector(".refusal:not([hidden])");
    for (const one of refused ? [refused, element] : []) one.scrollIntoView({ block: "nearest" });
    if (element instanceof HTMLInputElement && element.type === "text") {
      const end =
        asked && asked !== "symptom-text" && asked !== "list-text"
          ? element.value.length
          : selection === null
            ? element.value.length
            : selection;
      element.setSelectionRange(end, end);
    }
    if (asked && (id === "verdict" || id === "next")) firstOnPage()?.scrollIntoView({ block: "start" });
  }

  /** Where the reader begins: at what comes first of the standing hazards, the last reading and the card. */
  function firstOnPage() {
    return root.querySelector("#standing-title, #verdict, #next");
  }

  /** Put the focus on an element, in sight; nothing where it is not there. @param {string} id */
  function goTo(id) {
    const element = document.getElementById(id);
    if (!element) return;
    const whole = element.closest(".proof-one");
    element.focus({ preventScroll: whole !== null });
    (whole || element).scrollIntoView({ block: whole ? "start" : "nearest" });
  }

  /** Put the step of the work that is next in sight, its words first. */
  function showStep() {
    const step = root.querySelector(".step-now");
    if (!step) return;
    const { top, bottom } = step.getBoundingClientRect();
    const bar = parts.bar.querySelector(".bar-facts")?.getBoundingClientRect().bottom || 0;
    if (top < bar || bottom > window.innerHeight) step.scrollIntoView({ block: "start" });
  }

  /** @param {string} words */
  function speak(words) {
    saidLast = words === saidLast ? words + " " : words;
    parts.live.textContent = saidLast;
  }

  /**
   * @param {string} id
   * @param {string} text
   * @param {string} [label]
   * @param {() => void} [press]
   */
  function message(id, text, label, press) {
    const same = desk.ui.messages.find((one) => one.id === id);
    if (same && same.text === text) return;
    desk.ui.messages = desk.ui.messages
      .filter((one) => one.id !== id)
      .concat([{ id, text, label: label || "", press: press || null }]);
    parts.messages.replaceChildren(...desk.ui.messages.map(messageOf), ...problemsOf(pageNow()));
  }

  /** @param {string} id */
  function dropMessage(id) {
    if (!desk.ui.messages.some((one) => one.id === id)) return;
    desk.ui.messages = desk.ui.messages.filter((one) => one.id !== id);
    parts.messages.replaceChildren(...desk.ui.messages.map(messageOf), ...problemsOf(pageNow()));
  }

  /** @param {BenchMessage} one */
  function messageOf(one) {
    return h(
      "div",
      { class: "message", role: "alert" },
      h("p", null, one.text),
      h(
        "p",
        { class: "actions" },
        one.press ? button(one.label, one.press, { id: "message-" + one.id }) : null,
        button("Understood", () => act.dismiss(one.id), { class: "quiet" }),
      ),
    );
  }

  /** @param {BenchPage} page */
  function problemsOf(page) {
    const found = page.assessment ? page.assessment.problems : [];
    return found.length
      ? [
          h(
            "div",
            { class: "message", role: "note" },
            h(
              "ul",
              null,
              found.map((line) => h("li", null, line)),
            ),
          ),
        ]
      : [];
  }

  /** @type {(name: string, text: string, type?: string) => void} */
  function download(name, text, type) {
    benchlore.form.download(name, text, type);
    speak(name + " saved.");
  }

  /**
   * Put the parts of the page in place.
   * @param {BenchActs} acts what its buttons do
   */
  function mount(acts) {
    act = acts;
    root.replaceChildren(parts.messages, parts.live, parts.bar, parts.work, parts.over, parts.sheet);
  }

  benchlore.render = {
    root,
    page: pageNow,
    mount,
    show,
    showSheet,
    showStep,
    goTo,
    speak,
    message,
    dropMessage,
    download,
  };
})();
