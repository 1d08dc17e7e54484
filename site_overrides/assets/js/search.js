/**
 * The search box in the header: `/` opens it, arrows choose, Enter goes there, Escape closes it.
 *
 * The engine and the index are loaded by script tags when the box is first used, so that pages stay light and work
 * from file://. The box is a combobox with a listbox as in the ARIA Authoring Practices Guide; the first result is
 * chosen by itself, so that Enter always goes to what stands highest.
 */
(function () {
  "use strict";
  const benchlore = /** @type {Benchlore & TypedScripts} */ ((window.benchlore = window.benchlore || {}));

  /** Each with what it brings: what the page has already is not loaded again. */
  const ENGINE = [
    ["data/vocabulary.js", "vocabulary"],
    ["assets/js/typed.js", "typed"],
    ["assets/js/search-engine.js", "searchAnswer"],
    ["assets/search-index.js", "searchIndex"],
  ];
  const READINGS = "assets/search-readings.js";
  const BENCH = "bench.html";
  const CONTRIBUTE = "contribute/index.html";
  const MOST_RESULTS = 24;
  const MOST_FAULTS = 3;
  const DAMAGED = "did not load whole. Build the site again, or copy its whole folder.";
  /** Kinds whose title is a name on the board. */
  const DANGER = "Danger first";
  /** @type {Record<string, string>} */
  const CLASSES = { danger: " search-danger", absent: " search-absent" };
  const IDENTIFIERS = ["net", "part", "test-point"];
  const TYPED_INTO = "input:not([type=radio], [type=checkbox]), textarea, select";
  const HINT =
    "Type what the customer says, or a net, a part, a test point. A net with a reading (MAIN 7.92 V) tells what it means. " +
    "Arrows choose, Enter opens, Escape closes.";

  /** @type {Map<string, Promise<void>>} */
  const loaded = new Map();

  const base = () => document.querySelector('meta[name="benchlore-base"]')?.getAttribute("content") || "";

  /** Runs a script of the site once. @param {string} path @returns {Promise<void>} */
  function load(path) {
    const before = loaded.get(path);
    if (before) return before;
    const loading = new Promise((/** @type {(value: void) => void} */ resolve, reject) => {
      const script = document.createElement("script");
      script.async = false; // in the order in which they are asked for
      script.src = base() + path;
      script.onload = () => resolve();
      script.onerror = () => {
        loaded.delete(path);
        script.remove();
        reject(new Error(`${path} did not load. Build the site again, or copy its whole folder.`));
      };
      document.head.append(script);
    });
    loaded.set(path, loading);
    return loading;
  }

  /** @type {SearchEngine | null} */
  let engine = null;
  /** @type {SearchReadings | null} */
  let readings = null;

  /** The engine with the book's index. @returns {Promise<SearchEngine>} */
  async function ready() {
    const here = /** @type {Record<string, unknown>} */ (/** @type {unknown} */ (benchlore));
    await Promise.all(ENGINE.filter(([, brings]) => !here[brings]).map(([path]) => load(path)));
    if (!engine) {
      if (!benchlore.searchEngine || !benchlore.searchIndex) throw new Error(`The search index ${DAMAGED}`);
      engine = benchlore.searchEngine.open(benchlore.searchIndex);
    }
    return engine;
  }

  /** What readings can mean. @param {SearchEngine} opened @returns {Promise<SearchReadings>} */
  async function readingsReady(opened) {
    await load(READINGS);
    if (!readings) {
      if (!benchlore.searchReading || !benchlore.searchReadings)
        throw new Error(`The data of readings ${DAMAGED}`);
      readings = benchlore.searchReading.open(benchlore.searchReadings, opened);
    }
    return readings;
  }

  /**
   * @template {keyof HTMLElementTagNameMap} T
   * @param {T} tag @param {Record<string, string>} attributes @param {(Node | string)[]} children
   * @returns {HTMLElementTagNameMap[T]}
   */
  function make(tag, attributes, ...children) {
    const element = document.createElement(tag);
    for (const [name, value] of Object.entries(attributes)) element.setAttribute(name, value);
    element.append(...children);
    return element;
  }

  /** @param {string} text @param {string} className */
  const span = (text, className) => make("span", { class: className }, text);

  /**
   * One line of the list; `under`: it belongs to the line above.
   * @typedef {{path: string, kind: string, label: string, title: string, family: string, detail: string,
   *   under: boolean, language?: string}} Entry
   */

  /**
   * The readings, each with the faults that expect it.
   * @param {SearchReadingResult[]} results @param {SearchEngine} opened
   */
  function readingEntries(results, opened) {
    /** @type {Entry[]} */
    const entries = [];
    for (const result of results) {
      const [page, anchor = ""] = result.path.split("#");
      const read = new URLSearchParams({ family: result.job.familyId, read: result.job.typed });
      const path = `${page}?${read}#${anchor}`;
      entries.push({ ...result, path, kind: "reading", label: "Reading", under: false });
      for (const { number, probability } of result.normal ? [] : result.faults.slice(0, MOST_FAULTS)) {
        const fault = opened.result(number);
        const often =
          probability < 1
            ? `Reads this in ${Math.round(probability * 100)}\u00a0% of jobs`
            : "Always reads this";
        entries.push({ ...fault, detail: `${fault.detail}. ${often}.`, family: "", under: true });
      }
      const title = startWith(result.job.typed);
      const common = { kind: "job", label: "Bench", detail: "", family: "", under: true };
      entries.push({ ...common, title, path: jobPath(result.job) });
    }
    return entries;
  }

  /** What the way to a job with a reading says, the number with its unit in one line. @param {string} typed */
  const startWith = (typed) => `Start a job with ${typed.replace(/ /g, "\u00a0")}`;

  /** Where a job starts whose first entry is a reading. @param {SearchJob} job */
  function jobPath({ familyId, measure, typed }) {
    const entry = ["r", measure, "", typed]
      .map((text) => encodeURIComponent(text).replace(/~/g, "%7E"))
      .join("~");
    return `${BENCH}#${new URLSearchParams({ v: "1", family: familyId, entry })}`;
  }

  /** On the page of a reading that the search found, at its measurement: the way to a job that begins with it. */
  function offerJob() {
    const asked = new URLSearchParams(location.search);
    const [typed, familyId] = [asked.get("read"), asked.get("family")];
    const found = /^#measure-(.+)$/.exec(location.hash);
    const place = found && document.getElementById(location.hash.slice(1));
    if (!typed || !familyId || !found || !place) return;
    const link = make(
      "a",
      { class: "start", href: base() + jobPath({ familyId, measure: found[1], typed }) },
      startWith(typed),
    );
    place.querySelector("h3")?.after(make("p", { class: "starts no-print" }, link));
  }

  /**
   * What to do with what the book does not know: start a job with these words, or write it into the book.
   * @param {string} text @param {string} family @returns {Entry[]}
   */
  function absentEntries(text, family) {
    const words = text.trim().replace(/\s+/g, " ").slice(0, benchlore.vocabulary.most_words);
    const job = new URLSearchParams({ v: "1", ...(family ? { family } : {}), words });
    const common = { family: "", under: false };
    return [
      {
        ...common,
        kind: "absent",
        label: "Not in the book",
        title: "Start a job with these words",
        detail: "It goes down the rails from the source on, until one reads wrong.",
        path: `${BENCH}#${job}`,
      },
      {
        ...common,
        kind: "absent",
        label: "Not in the book",
        title: "Write it into the book",
        detail: "A symptom, a word of the trade, or a fault that you have found.",
        path: CONTRIBUTE,
      },
    ];
  }

  /** @param {HTMLElement} root */
  function build(root) {
    const input = make("input", {
      id: "search-input",
      type: "text",
      role: "combobox",
      "aria-label": "Search the book",
      "aria-autocomplete": "list",
      "aria-expanded": "false",
      "aria-controls": "search-list",
      "aria-describedby": "search-hint",
      "aria-keyshortcuts": "/",
      placeholder: "Symptom, net, part, reading",
      autocomplete: "off",
      autocapitalize: "off",
      spellcheck: "false",
      enterkeyhint: "go",
    });
    const key = make("kbd", { class: "search-key", "aria-hidden": "true" }, "/");
    const hint = make("p", { id: "search-hint", class: "search-hint" }, HINT);
    const status = make("p", { class: "search-status", role: "status" });
    const everywhere = make(
      "button",
      { type: "button", class: "search-everywhere", hidden: "" },
      "Search all boards",
    );
    const list = make("div", {
      id: "search-list",
      class: "search-list",
      role: "listbox",
      "aria-label": "Results",
    });
    const bar = make("div", { class: "search-bar" }, status, everywhere);
    const panel = make("div", { class: "search-panel", hidden: "" }, hint, bar, list);
    root.replaceChildren(make("div", { class: "search-field" }, input, key), panel);
    return { root, input, hint, status, everywhere, list, panel };
  }

  /** @param {Entry} entry @param {string} id */
  function option(entry, id) {
    const titleClass = IDENTIFIERS.includes(entry.kind) ? "search-title search-id" : "search-title";
    const kind = entry.label === DANGER ? "danger" : entry.kind;
    const link = make("a", {
      id,
      class: `search-option${entry.under ? " search-under" : ""}${CLASSES[kind] || ""}`,
      role: "option",
      "aria-selected": "false",
      tabindex: "-1",
      href: base() + entry.path,
    });
    link.append(span(entry.label, "search-kind"), " ", span(entry.title, titleClass));
    if (entry.family && entry.family !== entry.title) link.append(" ", span(entry.family, "search-family"));
    const detail = entry.kind === "symptom" ? `\u201c${entry.detail}\u201d` : entry.detail;
    if (entry.detail) {
      const said = span(detail, "search-detail");
      if (entry.language) said.lang = entry.language;
      link.append(" ", said);
    }
    return link;
  }

  /** @param {HTMLElement} root */
  function start(root) {
    const box = build(root);
    const { input, panel, list } = box;
    /** @type {HTMLAnchorElement[]} */
    let options = [];
    let chosen = -1;
    let round = 0;
    let goWhenFound = false;
    let shownFor = "";
    /** @type {HTMLElement | null} */
    let before = null;

    const filter = () => {
      const select = document.getElementById("family-filter");
      return select instanceof HTMLSelectElement ? select : null;
    };

    /** @param {number} next */
    function choose(next) {
      options[chosen]?.setAttribute("aria-selected", "false");
      chosen = next;
      const option = options[chosen];
      if (option) {
        option.setAttribute("aria-selected", "true");
        option.scrollIntoView({ block: "nearest" });
        input.setAttribute("aria-activedescendant", option.id);
      } else input.removeAttribute("aria-activedescendant");
    }

    function close() {
      round += 1;
      panel.hidden = true;
      goWhenFound = false;
      input.setAttribute("aria-expanded", "false");
      input.removeAttribute("aria-activedescendant");
    }

    /** @param {string} text */
    const say = (text) => {
      box.status.textContent = text;
    };

    /** @param {Entry[]} entries */
    function show(entries) {
      options = entries.map((entry, place) => option(entry, `search-option-${place}`));
      list.replaceChildren(...options);
      list.scrollTop = 0;
      list.hidden = options.length === 0;
      list.setAttribute("aria-busy", "false");
      input.setAttribute("aria-expanded", String(options.length > 0));
      choose(options.length ? 0 : -1);
    }

    /**
     * What stands in the list for a text, with what it answers.
     * @param {string} text @param {string} family
     */
    async function search(text, family) {
      const opened = await ready();
      const { parse } = /** @type {NonNullable<Benchlore["searchReading"]>} */ (benchlore.searchReading);
      const { find } = /** @type {NonNullable<Benchlore["searchAnswer"]>} */ (benchlore.searchAnswer);
      const known = parse(text) ? await readingsReady(opened) : null;
      const answer = find(text, opened, known, { family, limit: MOST_RESULTS });
      // Of a symptom, the plan of the chosen board: its page lies in the board's folder.
      const found = answer.results.map((result) => ({
        ...result,
        path: family && result.kind === "symptom" ? `${family}/${result.path}` : result.path,
        under: false,
      }));
      const read = readingEntries(answer.meanings, opened);
      const listed = answer.named ? [...read, ...found] : [...found, ...read];
      const dangers = answer.dangers.map((danger) => ({ ...danger, label: DANGER, under: false }));
      const ways = answer.asks ? [] : absentEntries(text, family);
      if (!answer.known) return { entries: [...dangers, ...ways, ...listed], answer };
      // A reading whose place the book does not know: what it names comes first, then the way on.
      const astray = known !== null && answer.meanings.length === 0;
      const last = astray ? ways.slice(0, 1).map((way) => ({ ...way, label: "Bench" })) : [];
      return { entries: [...dangers, ...listed, ...last], answer };
    }

    async function update() {
      const text = input.value;
      const select = filter();
      const mine = (round += 1);
      panel.hidden = false;
      list.setAttribute("aria-busy", "true");
      box.hint.hidden = text.trim() !== "";
      box.everywhere.hidden = !select?.value || !text.trim();
      if (!text.trim()) {
        say("");
        show([]);
        ready().catch((/** @type {Error} */ error) => say(error.message));
        return;
      }
      if (!engine) say("Loading the index");
      try {
        const { entries, answer } = await search(text, select?.value || "");
        if (mine !== round) return;
        show(entries);
        shownFor = text;
        const board = select?.value ? ` for ${select.selectedOptions[0]?.text}` : "";
        say(answer.asks ? `${answer.asks}.` : summary(answer, options.length, text, board));
        if (goWhenFound) go();
      } catch (error) {
        if (mine !== round) return;
        show([]);
        say(error instanceof Error ? error.message : String(error));
      }
    }

    /** @param {SearchAnswered} answer @param {number} count @param {string} text @param {string} board */
    function summary({ known, results }, count, text, board) {
      if (!known) {
        const near = results.length ? " What is only near stands below." : "";
        return `\u201c${text.trim()}\u201d is not in the book${board}.${near}`;
      }
      if (count >= MOST_RESULTS) return `The best ${count}${board}. Type more to narrow them down.`;
      return `${count} ${count === 1 ? "result" : "results"}${board}`;
    }

    function go() {
      goWhenFound = false;
      options[chosen]?.click();
    }

    function leave() {
      close();
      if (before?.isConnected) before.focus();
      else input.blur();
      before = null;
    }

    /** @param {KeyboardEvent} event */
    function onKey(event) {
      if (event.isComposing) return;
      if (event.key === "Escape") {
        event.preventDefault();
        if (input.value && !panel.hidden) close();
        else if (input.value) input.value = "";
        else leave();
      } else if (event.key === "ArrowDown" || event.key === "ArrowUp") {
        event.preventDefault();
        const step = event.key === "ArrowDown" ? 1 : -1;
        if (panel.hidden) update();
        else if (options.length) choose((chosen + step + options.length) % options.length);
      } else if (event.key === "Enter") {
        event.preventDefault();
        if (!panel.hidden && shownFor === input.value) go();
        else if (input.value.trim()) {
          goWhenFound = true;
          update();
        }
      }
    }

    input.addEventListener("focus", update);
    input.addEventListener("input", () => {
      goWhenFound = false;
      update();
    });
    input.addEventListener("keydown", onKey);
    list.addEventListener("click", (event) => {
      // A link into this very page does not load it again.
      if (!event.defaultPrevented && !(event.ctrlKey || event.metaKey || event.shiftKey)) {
        close();
        input.blur();
      }
    });
    root.addEventListener("focusout", (event) => {
      if (!(event.relatedTarget instanceof Node && root.contains(event.relatedTarget))) close();
    });
    box.everywhere.addEventListener("click", () => {
      const select = filter();
      if (select) {
        select.value = "";
        select.dispatchEvent(new Event("change", { bubbles: true }));
      }
      input.focus();
    });
    document.addEventListener("benchlore:family", () => {
      if (!panel.hidden) update();
    });
    document.addEventListener("keydown", (event) => {
      if (event.key !== "/" || event.ctrlKey || event.metaKey || event.altKey || event.defaultPrevented)
        return;
      const active = document.activeElement;
      if (active instanceof HTMLElement && (active.isContentEditable || active.matches(TYPED_INTO))) return;
      event.preventDefault();
      if (active instanceof HTMLElement && active !== document.body) before = active;
      input.focus();
      input.select();
    });
    return { open: () => input.focus() };
  }

  offerJob();
  const root = document.getElementById("search");
  const box = root ? start(root) : null;
  benchlore.search = { ready, open: () => box?.open() };
})();
