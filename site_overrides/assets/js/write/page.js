/*
 * The page: which draft is open, what a person can do, and what is shown anew after it.
 */
(function () {
  "use strict";
  const benchlore = /** @type {WriteScripts} */ ((window.benchlore = window.benchlore || {}));
  const { h, button } = benchlore.dom;
  const { drafts, fields, sections, result: results } = benchlore;
  const book = benchlore.benchBook;
  benchlore.benchFamilies = benchlore.benchFamilies || {};
  benchlore.writeFamilies = benchlore.writeFamilies || {};
  benchlore.writeRecords = benchlore.writeRecords || {};

  const AFTER_TYPING = 300; // ms
  const LARGEST = 1000000;
  const root = /** @type {HTMLElement} */ (document.getElementById("write"));
  const base = benchlore.site?.base() || "";

  /** @type {WriteDesk | null} */
  let desk = null;
  /** @type {number | undefined} */
  let waiting;
  /** What a person must know, until the next thing is done. */
  let message = "";

  /* Data. */

  /** @type {Map<string, Promise<void>>} */
  const loading = new Map();

  /** @param {string} path */
  function load(path) {
    const found =
      loading.get(path) ||
      new Promise((resolve, reject) => {
        const script = document.createElement("script");
        script.src = base + path;
        script.onload = () => resolve(undefined);
        script.onerror = () =>
          reject(new Error("The data could not be loaded: " + path + ". Is the site\u2019s folder whole?"));
        document.head.append(script);
      });
    loading.set(path, /** @type {Promise<void>} */ (found));
    return /** @type {Promise<void>} */ (found);
  }

  /** @param {string} id */
  async function familyOf(id) {
    const bench = book.families.find((one) => one.id === id);
    const own = benchlore.writeBook.families.find((one) => one.id === id);
    if (!bench || !own) throw new Error("This book has no board \u201c" + id + "\u201d.");
    await Promise.all([load(bench.script), load(own.script), load(own.records)]);
    return { family: benchlore.benchFamilies[id], own: benchlore.writeFamilies[id] };
  }

  /* Opening. */

  /** @type {(draft: WriteDraft, focus?: string) => Promise<void>} */
  async function open(draft, focus = "part-says") {
    let data;
    try {
      data = await familyOf(draft.family);
    } catch (error) {
      return say(error instanceof Error ? error.message : String(error));
    }
    desk = {
      book,
      ...data,
      draft,
      typed: {},
      tried: false,
      set,
      name,
      save,
      goTo,
      result,
    };
    location.hash = "";
    draw();
    focusOn(focus);
  }

  /**
   * @param {string} family
   * @param {WriteRecord} record
   * @param {string} [before] the record that is changed
   */
  function fresh(family, record, before = "") {
    const draft = {
      id: drafts.newId(),
      family,
      name: before,
      before,
      record,
      time: new Date().toISOString(),
    };
    return open(draft).then(() => keep());
  }

  /** @type {(family: string, fault: string) => Promise<void>} */
  async function openRecord(family, fault) {
    try {
      const data = await familyOf(family);
      const text = benchlore.writeRecords[family]?.[fault];
      if (text === undefined) throw new Error("The book has no record \u201c" + fault + "\u201d.");
      await fresh(family, readRecord(data, text), fault);
    } catch (error) {
      say(error instanceof Error ? error.message : String(error));
    }
  }

  /**
   * The record in a text, in full. Throws Error with the reason in words.
   * @type {(data: {family: BenchFamily, own: WriteFamily}, text: string) => WriteRecord}
   */
  function readRecord(data, text) {
    const record = benchlore.short.inFull({ book, ...data }, benchlore.yaml.read(text));
    const label = benchlore.findings.misshapen(record);
    if (label)
      throw new Error(
        "\u201c" +
          label +
          "\u201d is not written as this form can show it. benchlore check says how to mend it.",
      );
    return record;
  }

  /**
   * A file from the disk: a job of the bench page, or a fault pattern.
   * @param {File} file
   * @param {string} family that of a fault pattern, which does not say it
   */
  async function openFile(file, family) {
    try {
      const text = await file.text();
      if (text.length > LARGEST) throw new Error("The file is too large for a fault pattern or a job.");
      if (text.trimStart().startsWith("{")) {
        const job = benchlore.jobfile.parse(text);
        const data = await familyOf(job.family);
        const record = benchlore.record.fromJob(job, data.family);
        if (job.revision && Object.keys(data.family.revisions).length > 1)
          message = "The job was on revision " + job.revision + ".";
        await fresh(job.family, record);
      } else {
        if (!family) throw new Error("Choose the board first: a fault pattern does not name it.");
        const name = file.name.replace(/\.ya?ml$/i, "");
        const data = await familyOf(family);
        const record = readRecord(data, text);
        await fresh(family, record, data.own.taken.includes(name) ? name : "");
        if (desk && !desk.draft.name) desk.name(name);
        draw();
      }
    } catch (error) {
      say(file.name + " was not opened. " + (error instanceof Error ? error.message : String(error)));
    }
  }

  /* Acting. */

  /** @type {WriteDesk["set"]} */
  function set(where, value, redraw = false, focus = "") {
    if (!desk) return;
    const { draft } = desk;
    const record = benchlore.record.set(draft.record, where, value);
    const named = draft.before || draft.name !== benchlore.record.nameOf(draft.record.title || "");
    const own = named ? draft.name : benchlore.record.nameOf(record.title || "");
    desk.draft = { ...draft, record, name: own, time: new Date().toISOString() };
    const input = document.getElementById("f-name");
    if (input instanceof HTMLInputElement && own !== draft.name) input.value = own;
    message = "";
    keep();
    if (!redraw) return later();
    const at = focus || document.activeElement?.id || "";
    draw();
    focusOn(at);
  }

  /** @param {string} text */
  function name(text) {
    if (!desk) return;
    desk.draft = { ...desk.draft, name: text.trim(), time: new Date().toISOString() };
    keep();
    later();
  }

  function save() {
    if (!desk) return;
    desk.tried = true;
    const { record, findings } = result();
    if (findings.some((one) => one.where[0] === "name")) {
      refresh();
      return goTo(["name"]);
    }
    const text = benchlore.yaml.write("fault", benchlore.short.shortened(desk, record));
    benchlore.form.download(desk.draft.name + ".yaml", text, "application/yaml");
    refresh();
    results.fill("saved", results.savedNote(desk, findings));
  }

  /** @param {FormPlace} where */
  function goTo(where) {
    for (let length = where.length; length > 0; length -= 1) {
      const path = where.slice(0, length);
      const found =
        document.getElementById(fields.idOf(path)) ||
        document.getElementById(fields.idOf([...path, "verb"])) ||
        document.querySelector('[data-place="' + CSS.escape(path.join("/")) + '"]');
      if (!(found instanceof HTMLElement)) continue;
      for (let fold = found.closest("details"); fold; fold = fold.parentElement?.closest("details") || null)
        benchlore.dom.unfold(fold);
      const inner = found.matches("input, select, textarea, button")
        ? found
        : found.querySelector("input, select, textarea, button");
      found.scrollIntoView({ block: "center" });
      if (inner instanceof HTMLElement) inner.focus({ preventScroll: true });
      return;
    }
  }

  /** Keep the draft; where another window has changed it meanwhile, this one goes on as a draft of its own. */
  async function keep() {
    if (!desk) return;
    const { draft } = desk;
    const how = await drafts.save(draft);
    if (how === "failed") return say(benchlore.store.trouble());
    if (how === "elsewhere" && desk?.draft.id === draft.id) {
      desk.draft = { ...desk.draft, id: drafts.newId() };
      await drafts.save(desk.draft);
      say(
        "Another window has changed this draft, too. Both are kept: this one goes on as a draft of its own.",
      );
    }
  }

  /* Showing. */

  /** @returns {WriteResult} */
  function result() {
    if (!desk) return { record: {}, findings: [] };
    const record = benchlore.record.whole(benchlore.writeForm, desk.draft.record);
    const typed = benchlore.record.whole(benchlore.writeForm, desk.draft.record, true);
    return { record, findings: benchlore.findings.findings(desk, desk.draft, typed) };
  }

  function later() {
    window.clearTimeout(waiting);
    waiting = window.setTimeout(refresh, AFTER_TYPING);
  }

  function refresh() {
    window.clearTimeout(waiting);
    if (!desk) return;
    for (const [id, typed] of Object.entries(desk.draft.record.worked_example || {})) {
      const box = document.getElementById(fields.idOf(["worked_example", id], "taken"));
      if (box) box.textContent = sections.takenFor(desk, id, String(typed));
    }
    results.refresh(desk, result());
  }

  function draw() {
    if (!desk) return;
    const { draft, family } = desk;
    const opened = [...document.querySelectorAll("#write details[open]")].map((one) => one.id);
    root.replaceChildren(
      h(
        "div",
        { class: "write-bar" },
        h(
          "span",
          { class: "bar-what" },
          h("b", null, family.title),
          draft.before ? " \u00b7 " + draft.before : "",
        ),
        h("span", { id: "bar-count", "aria-live": "polite" }),
        button("What is open", () => focusOn("part-result"), { class: "quiet", id: "to-result" }),
        button("Other drafts", () => void start(), { class: "quiet", id: "to-start" }),
      ),
      h(
        "div",
        { id: "write-message", role: "status" },
        message ? h("p", { class: "message" }, message) : null,
      ),
      ...sections.render(desk),
      results.render(desk),
    );
    for (const id of opened) {
      const found = document.getElementById(id);
      if (found instanceof HTMLDetailsElement && !found.open) benchlore.dom.unfold(found);
    }
    refresh();
  }

  /** @param {string} text */
  function say(text) {
    message = text;
    const box = document.getElementById("write-message");
    if (box) box.replaceChildren(h("p", { class: "message" }, text));
    else void start();
  }

  /** @param {string} id */
  function focusOn(id) {
    const found = document.getElementById(id);
    if (!found) return;
    const inner = found.matches("input, select, textarea, button, [tabindex]")
      ? found
      : found.querySelector("input, select, textarea, button");
    if (!(inner instanceof HTMLElement)) return;
    inner.focus({ preventScroll: true });
    const { top, bottom } = inner.getBoundingClientRect();
    if (top < 60 || bottom > window.innerHeight) inner.scrollIntoView({ block: "center" });
  }

  /* The start. */

  /** The board that was chosen on the first page. */
  let board = "";

  async function start() {
    board = desk?.draft.family || board;
    desk = null;
    drafts.leave();
    const kept = await drafts.list();
    const chosen = book.families.find((one) => one.id === board);
    if (chosen) await familyOf(board).catch(() => undefined);
    root.replaceChildren(
      h(
        "div",
        { id: "write-message", role: "status" },
        message ? h("p", { class: "message" }, message) : null,
      ),
      h(
        "section",
        { class: "panel write-part", "aria-labelledby": "start-title" },
        h("h2", { id: "start-title", tabindex: "-1" }, "Which board?"),
        h(
          "div",
          { class: "checks", role: "group", "aria-labelledby": "start-title" },
          book.families.map((one) => {
            const key = button(one.title, () => choose(one.id), {
              class: "choice-small" + (one.id === board ? " pressed" : ""),
              id: "board-" + one.id,
            });
            key.setAttribute("aria-pressed", String(one.id === board));
            return key;
          }),
        ),
        chosen
          ? [
              h(
                "p",
                { class: "actions" },
                button("Write a new fault", () => void fresh(board, {}), {
                  class: "primary",
                  id: "new-fault",
                }),
              ),
              h("p", { class: "field" }, "Or change one of the book"),
              fields.pick(
                /** @type {WriteDesk} */ ({ typed: {} }),
                "old-fault",
                faultsOf(board),
                "A fault of the book",
                (id) => void openRecord(board, id),
                { placeholder: "its title: type to choose" },
              ),
            ]
          : null,
      ),
      h(
        "section",
        { class: "panel write-part", "aria-labelledby": "file-title" },
        h("h2", { id: "file-title" }, "From a file"),
        h(
          "p",
          { class: "lead" },
          "A job that the bench page saved brings its symptoms and its readings. A fault pattern (.yaml) opens as it is; choose its board first.",
        ),
        h("input", {
          type: "file",
          id: "open-file",
          class: "file",
          accept: ".json,.yaml,.yml",
          "aria-label": "Open a job or a fault pattern",
          onchange: (event) => {
            const [file] = /** @type {HTMLInputElement} */ (event.target).files || [];
            if (file) void openFile(file, board);
          },
        }),
      ),
      kept.length
        ? h(
            "section",
            { class: "panel write-part", "aria-labelledby": "drafts-title" },
            h("h2", { id: "drafts-title" }, "Drafts in this browser"),
            h("ul", { class: "drafts" }, kept.map(draftLine)),
          )
        : "",
    );
    message = "";
  }

  /** @param {WriteDraft} draft */
  function draftLine(draft) {
    const family = book.families.find((one) => one.id === draft.family);
    const title = draft.record.title || draft.name || "without a title yet";
    return h(
      "li",
      null,
      button(title, () => void open(draft), { name: "Go on with: " + title }),
      h(
        "span",
        { class: "aside" },
        (family?.title || draft.family) + ", " + draft.time.slice(0, 16).replace("T", " "),
      ),
      button(
        "Remove",
        () => {
          if (
            window.confirm(
              "Remove the draft \u201c" + title + "\u201d? It is in no file unless you saved it.",
            )
          )
            void drafts.remove(draft.id).then(start);
        },
        { class: "quiet", name: "Remove the draft: " + title },
      ),
    );
  }

  /** @param {string} id */
  function choose(id) {
    board = id;
    void start().then(() => focusOn("new-fault"));
  }

  /** @param {string} family @returns {WriteOption[]} */
  function faultsOf(family) {
    return Object.values(benchlore.benchFamilies[family]?.faults || {}).map((fault) => ({
      id: fault.id.slice(family.length + 1),
      title: fault.title,
      aside: fault.id.slice(family.length + 1),
    }));
  }

  /** What the address asks for, else the draft that this tab had open, else the start. */
  async function begin() {
    const asked = new URLSearchParams(location.hash.slice(1));
    const family = asked.get("family") || "";
    board = family || benchlore.site?.family() || (book.families.length === 1 ? book.families[0].id : "");
    if (family && asked.get("fault")) return openRecord(family, asked.get("fault") || "");
    const last = await drafts.current();
    if (last) return open(last, "part-says");
    return start();
  }

  void begin();
})();
