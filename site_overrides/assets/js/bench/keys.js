/*
 * The keyboard: single letters while no field is in focus, digits that begin a reading.
 */
(function () {
  "use strict";
  const benchlore = /** @type {BenchScripts} */ ((window.benchlore = window.benchlore || {}));
  const { state: desk, snapshot } = benchlore.desk;
  const act = benchlore.acts;
  const { root, goTo } = benchlore.render;

  /** @type {Record<string, (page: BenchSnapshot) => void>} */
  const LETTERS = {
    g: () => {
      if (desk.ui.view === "setup") act.work();
    },
    r: () => act.toField(),
    s: (page) => pickOther(page, 0),
    t: (page) => pickOther(page, 1),
    l: () => {
      if (desk.assessment && desk.ui.view === "work") act.open("list");
    },
    b: () => {
      if (desk.ui.view === "work") act.best();
    },
    w: (page) => {
      const id = page.next.id;
      if (working(page) && page.next.kind === "measure") act.suppose(id);
    },
    a: (page) => again(page),
    u: () => act.undo(),
    y: () => act.redo(),
    v: () => {
      if (document.getElementById("standing-seen")) act.read();
    },
    d: () => document.getElementById("step-done")?.click(),
    k: () => goTo("ranking-title"),
    h: () => goTo("history-title"),
    e: () => act.setup(),
    j: () => act.open("jobs"),
    n: () => act.newJob(),
    p: () => {
      if (desk.assessment) act.print();
    },
    "?": () => act.open("keys"),
  };

  /** @param {BenchSnapshot} page */
  function working(page) {
    return desk.ui.view === "work" && desk.assessment !== null && page.outcome.state === "open";
  }

  /** @type {(page: BenchSnapshot, n: number) => void} */
  function pickOther(page, n) {
    if (!working(page)) return;
    const rest = page.assessment.choices.filter(
      (one) => one.kind !== page.next.kind || one.id !== page.next.id,
    );
    if (rest[n]) act.choose(rest[n].kind, rest[n].id);
  }

  /** Measure again what the meter could not decide. @param {BenchSnapshot} page */
  function again(page) {
    const last = working(page) ? page.assessment.taken[page.assessment.taken.length - 1] : undefined;
    if (last?.reading && desk.family.measurements[last.measure]) act.choose("measure", last.measure);
  }

  /** @param {KeyboardEvent} event */
  function onKey(event) {
    if (event.defaultPrevented || event.ctrlKey || event.metaKey || event.altKey || event.isComposing) return;
    const target = event.target instanceof HTMLElement ? event.target : null;
    if (event.key === "Escape") return escapeFrom(target);
    if (desk.ui.dialog || isTyping(target) || (target && target !== document.body && !root.contains(target)))
      return;
    const page = snapshot();
    if (desk.ui.view === "setup" && /^[0-9]$/.test(event.key) && revisionOf(event.key))
      return event.preventDefault();
    if (/^[0-9.,+\-\u2212]$/.test(event.key) && working(page) && digit(event.key))
      return event.preventDefault();
    const run = Object.hasOwn(LETTERS, event.key) ? LETTERS[event.key] : null;
    if (!run) return;
    event.preventDefault();
    run(page);
  }

  /**
   * A digit at the start of a job: the revision with that number. True when there is one.
   * @param {string} key
   */
  function revisionOf(key) {
    const found = root.querySelector('.choice-revision[aria-keyshortcuts="' + key + '"]');
    if (found instanceof HTMLButtonElement) found.click();
    return found !== null;
  }

  /**
   * A digit outside a field: the number of an answer, or the beginning of the reading. True when it was used.
   * @param {string} key
   */
  function digit(key) {
    const answer = document.getElementById("answer-" + key);
    if (answer) {
      answer.click();
      return true;
    }
    const field = document.getElementById("reading") || document.getElementById("proof-1");
    if (!(field instanceof HTMLInputElement)) return false;
    field.focus();
    field.value += key;
    field.dispatchEvent(new Event("input", { bubbles: true }));
    return true;
  }

  /** @param {HTMLElement | null} target */
  function escapeFrom(target) {
    if (desk.ui.dialog) return;
    if (target && isTyping(target) && root.contains(target)) target.blur();
    else if (desk.ui.trial || desk.ui.supposing) act.forget();
  }

  /** @param {HTMLElement | null} target */
  function isTyping(target) {
    if (!target) return false;
    if (target instanceof HTMLInputElement)
      return !["radio", "checkbox", "button", "submit", "file"].includes(target.type);
    return (
      target instanceof HTMLTextAreaElement || target instanceof HTMLSelectElement || target.isContentEditable
    );
  }

  benchlore.keys = { onKey };
})();
