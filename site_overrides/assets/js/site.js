// What every page does: keep the scheme, the board family and the revision, and show what they choose.
(function () {
  "use strict";

  const benchlore = /** @type {Benchlore} */ ((window.benchlore = window.benchlore || {}));
  const store = /** @type {SiteStore} */ (benchlore.store);
  /** @param {string} id */
  const byId = (id) => document.getElementById(id);

  const trouble = byId("trouble");
  document.addEventListener("benchlore:trouble", (event) => {
    if (trouble && event instanceof CustomEvent) {
      trouble.textContent = event.detail.reason;
      trouble.hidden = false;
    }
  });

  /**
   * Hand over to the reader. Until what was kept is known a choice has nowhere to go: the page it was made on may be left first.
   * @param {Element} control
   */
  function offer(control) {
    control.classList.remove("waits");
  }

  // Scheme: as the system, light, dark.
  const SCHEMES = ["", "light", "dark"];
  const NAMES = ["Theme: system", "Light", "Dark"];
  const button = byId("scheme");
  const schemeName = button?.querySelector(".scheme-name");

  /** @param {unknown} value */
  function showScheme(value) {
    const place = Math.max(SCHEMES.indexOf(String(value || "")), 0);
    if (SCHEMES[place]) document.documentElement.dataset.scheme = SCHEMES[place];
    else delete document.documentElement.dataset.scheme;
    if (button && schemeName) {
      schemeName.textContent = NAMES[place];
      button.setAttribute("aria-label", "Colours: " + NAMES[place] + ". Change.");
    }
    return place;
  }

  if (button) {
    let place = 0;
    button.addEventListener("click", () => {
      place = showScheme(SCHEMES[(place + 1) % SCHEMES.length]);
      void store.set("scheme", SCHEMES[place]);
    });
    void store.get("scheme").then((/** @type {unknown} */ kept) => {
      place = showScheme(kept);
      offer(button);
    });
  }

  // Board family: a filter on every list. The search reads it too.
  const filter = byId("family-filter");
  const filtered = byId("filtered");
  let family = "";

  /** @param {string} chosen */
  function showFamily(chosen) {
    family = chosen;
    let hidden = 0;
    for (const item of document.querySelectorAll("#content [data-family], #content [data-families]")) {
      if (!(item instanceof HTMLElement)) continue;
      const of = (item.dataset.family || item.dataset.families || "").split(" ");
      item.hidden = chosen !== "" && !of.includes(chosen);
      if (item.hidden) hidden += 1;
    }
    if (filtered && filter instanceof HTMLSelectElement) {
      filtered.hidden = hidden === 0;
      filtered.replaceChildren();
      if (hidden) {
        const all = document.createElement("button");
        all.type = "button";
        all.textContent = "All boards";
        all.addEventListener("click", () => choose(""));
        filtered.append("Only " + filter.selectedOptions[0].text + " is shown. ", all);
      }
    }
    sayMine();
    document.dispatchEvent(new CustomEvent("benchlore:family", { detail: { family } }));
  }

  /** @param {string} chosen */
  function choose(chosen) {
    if (filter instanceof HTMLSelectElement) filter.value = chosen;
    showFamily(chosen);
    void store.set("family", chosen);
  }

  if (filter instanceof HTMLSelectElement) {
    filter.addEventListener("change", () => choose(filter.value));
    void store.get("family").then((/** @type {unknown} */ kept) => {
      const choice = [...filter.options].find((option) => option.value === kept);
      if (choice?.value) {
        filter.value = choice.value;
        showFamily(choice.value);
      }
      offer(filter.labels[0]);
      sayMine();
    });
  }

  // Revision: chosen once for a family, kept for all its pages. Until then every revision is shown, each with its name.
  const group = byId("revision-switch");
  const page = document.querySelector('meta[name="benchlore-family"]');
  const own = page instanceof HTMLMetaElement ? page.content : "";
  let revision = "";

  /** @param {string} chosen */
  function showRevision(chosen) {
    revision = chosen;
    document.documentElement.dataset.revision = chosen;
    for (const item of document.querySelectorAll("[data-rev]")) {
      if (item instanceof HTMLElement)
        item.hidden = chosen !== "" && !(item.dataset.rev || "").split(" ").includes(chosen);
    }
    for (const item of document.querySelectorAll("[data-only]")) {
      if (item instanceof HTMLElement) {
        const fits = !chosen || (item.dataset.only || "").split(" ").includes(chosen);
        item.classList.toggle("not-yours", !fits);
      }
    }
    sayMine();
    document.dispatchEvent(new CustomEvent("benchlore:revision", { detail: { family: own, revision } }));
  }

  if (group && own) {
    const choices = /** @type {HTMLInputElement[]} */ ([...group.querySelectorAll("input")]);
    group.addEventListener("change", (event) => {
      if (!(event.target instanceof HTMLInputElement)) return;
      showRevision(event.target.value);
      void store.set("revision/" + own, event.target.value);
    });
    void store.get("revision/" + own).then((/** @type {unknown} */ kept) => {
      // A browser that goes back in its history ticks what was ticked there; what is kept holds.
      const choice = choices.find((input) => input.value === kept);
      for (const input of choices) input.checked = input.value === (choice ? choice.value : "");
      if (choice) showRevision(choice.value);
      offer(group);
    });
  }

  // On a phone both choices stand behind one key that says what is chosen.
  const mine = byId("mine");

  function sayMine() {
    if (!mine || !(filter instanceof HTMLSelectElement)) return;
    const board = filter.selectedOptions[0]?.text || "";
    const kept = group ? "rev. " + (revision || "all") : "";
    // The revision is of the page's board, whatever the lists are filtered by.
    const other = kept && family && family !== own;
    const ofPage = [...filter.options].find((option) => option.value === own)?.text || "";
    const said = [other ? ofPage : board, kept].filter(Boolean).join(", ");
    mine.textContent = family || !kept ? said : kept;
    mine.setAttribute("aria-label", "Chosen: " + (other ? board + "; " : "") + said + ". Change.");
    offer(mine);
  }

  /** @param {boolean} open */
  function openChoices(open) {
    mine?.setAttribute("aria-expanded", String(open));
    mine?.closest(".top")?.classList.toggle("open", open);
  }

  mine?.addEventListener("click", () => openChoices(mine.getAttribute("aria-expanded") !== "true"));
  mine?.closest(".top")?.addEventListener("keydown", (event) => {
    if (!(event instanceof KeyboardEvent) || event.key !== "Escape" || event.defaultPrevented) return;
    if (mine.getAttribute("aria-expanded") !== "true") return;
    openChoices(false);
    mine.focus();
  });

  // Hazards: the first control of each is always there; the others at a press. On paper all of them are.
  for (const hazards of document.querySelectorAll(".hazards.brief")) {
    const more = hazards.querySelectorAll(":scope > .hazard .more").length;
    if (!more) continue;
    const all = document.createElement("button");
    all.type = "button";
    all.className = "more-controls no-print";
    const show = (/** @type {boolean} */ open) => {
      hazards.classList.toggle("open", open);
      all.setAttribute("aria-expanded", String(open));
      all.textContent = open ? "First controls" : "All controls";
    };
    show(false);
    all.addEventListener("click", () => show(!hazards.classList.contains("open")));
    hazards.append(all);
  }

  // What stands below some headings is folded on a phone, some of it everywhere; what an address or a chosen revision
  // names is open.
  const narrow = window.matchMedia("(max-width: 600px)");
  const folds = /** @type {HTMLDetailsElement[]} */ ([...document.querySelectorAll("details.fold")]);
  /** @type {HTMLDetailsElement[]} */
  let opened = [];

  /** The id that the address names; nothing for one that cannot be read. */
  function addressed() {
    try {
      return decodeURIComponent(window.location.hash.slice(1));
    } catch {
      return "";
    }
  }

  /** Open all around what the address names. */
  function openTarget() {
    const target = byId(addressed());
    let around = target?.closest("details");
    if (!target || !around) return;
    while (around) {
      around.open = true;
      around = around.parentElement?.closest("details");
    }
    target.scrollIntoView();
  }

  function fold() {
    for (const one of folds) one.open = !narrow.matches && !one.classList.contains("shut");
    openChosen();
    openTarget();
  }

  /** The sketches of the chosen revision. */
  function openChosen() {
    for (const one of folds) {
      if (revision && one.matches(".sketch:not([hidden]) > *")) one.open = true;
    }
  }

  if (folds.length) {
    narrow.addEventListener("change", fold);
    document.addEventListener("benchlore:revision", openChosen);
    fold();
  }
  window.addEventListener("hashchange", openTarget);
  window.addEventListener("beforeprint", () => {
    opened = /** @type {HTMLDetailsElement[]} */ ([
      ...document.querySelectorAll("#content details:not([open])"),
    ]);
    for (const one of opened) one.open = true;
  });
  window.addEventListener("afterprint", () => {
    for (const one of opened) one.open = false;
  });

  // The keys of a page, at `?`. The bench page has more, and says them itself.
  const KEYS = [
    ["/", "Search: a symptom, a net, a part, a reading"],
    ["?", "This list of keys"],
    ["Esc", "Close what is open"],
  ];

  function showKeys() {
    const before = document.activeElement;
    const over = document.createElement("dialog");
    over.className = "site-keys";
    over.setAttribute("aria-label", "Keys");
    const list = document.createElement("dl");
    for (const [key, what] of KEYS) {
      const name = document.createElement("dt");
      const said = document.createElement("dd");
      name.append(Object.assign(document.createElement("kbd"), { textContent: key }));
      said.textContent = what;
      list.append(name, said);
    }
    const shut = Object.assign(document.createElement("button"), { type: "button", textContent: "Close" });
    shut.addEventListener("click", () => over.close());
    over.addEventListener("close", () => {
      over.remove();
      if (before instanceof HTMLElement) before.focus();
    });
    over.append(list, shut);
    document.body.append(over);
    over.showModal();
  }

  document.addEventListener("keydown", (event) => {
    const { target } = event;
    const typing =
      target instanceof HTMLElement &&
      (target.isContentEditable || target.matches("input, select, textarea"));
    const own = byId("bench") || document.querySelector("dialog[open]");
    if (event.key !== "?" || event.defaultPrevented || event.ctrlKey || event.metaKey || typing || own)
      return;
    event.preventDefault();
    showKeys();
  });

  benchlore.site = {
    /** The family that the reader filters by, or nothing. Changes are told by `benchlore:family`. */
    family: () => family,
    /** The revision chosen for this page's family, or nothing. Changes are told by `benchlore:revision`. */
    revision: () => revision,
    /** The way from this page to the site's root. */
    base: () => {
      const base = document.querySelector('meta[name="benchlore-base"]');
      return base instanceof HTMLMetaElement ? base.content : "";
    },
  };
})();
