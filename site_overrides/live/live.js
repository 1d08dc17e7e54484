// On pages that `build --serve` hands out, and on no other: comes again when there is another site, and shows what
// is wrong with the book.
(function () {
  "use strict";

  /**
   * @typedef {{file: string, line: number, column: number, rule: string, severity: string, message: string,
   *   mend: string, excerpt: string}} Finding
   * @typedef {{site: string, building: boolean, stale: boolean, trouble: string, findings: Finding[]}} State
   */

  const mine = document.querySelector('meta[name="benchlore-live"]')?.getAttribute("content");
  const panel = document.createElement("aside");
  const summary = document.createElement("span");
  const list = document.createElement("ol");
  const details = document.createElement("details");
  /** @type {EventSource | null} */
  let source = null;
  let shown = "";

  panel.id = "live";
  panel.className = "no-print";
  panel.setAttribute("aria-label", "The book");
  summary.setAttribute("role", "status");
  details.append(document.createElement("summary"), list);
  details.children[0].append(summary);
  panel.append(details);

  /** @param {string} name @param {string} text @param {string} [css] */
  function element(name, text, css) {
    const made = document.createElement(name);
    made.textContent = text;
    if (css) made.className = css;
    return made;
  }

  /** @param {Finding} finding */
  function entry(finding) {
    const line = document.createElement("li");
    const place = `${finding.file}:${finding.line}:${finding.column}`;
    line.append(element("b", finding.severity, "live-" + finding.severity), " ", element("code", place), " ");
    line.append(element("span", finding.message), " ", element("span", finding.rule, "live-rule"));
    if (finding.excerpt.trim()) line.append(element("pre", finding.excerpt));
    if (finding.mend) line.append(element("p", finding.mend, "live-mend"));
    return line;
  }

  /** @param {State} state */
  function counted(state) {
    const counts = ["error", "warning", "note"].map(function (kind) {
      const count = state.findings.filter((finding) => finding.severity === kind).length;
      return count ? count + " " + kind + (count > 1 ? "s" : "") : "";
    });
    return counts.filter(Boolean).join(", ");
  }

  /** @param {State} state */
  function show(state) {
    const found = counted(state) || (state.trouble ? "The site could not be built" : "");
    summary.textContent = state.building
      ? "Building the site …"
      : state.stale
        ? found + ". This is the last good site."
        : found;
    const wrong = JSON.stringify([state.findings, state.trouble]);
    if (wrong !== shown && !state.building) {
      shown = wrong;
      list.replaceChildren(...state.findings.map(entry));
      if (state.trouble) list.prepend(element("li", state.trouble, "live-trouble"));
      details.open = state.stale;
    }
    const quiet = !state.building && !found;
    if (quiet) panel.remove();
    else if (!panel.isConnected) document.body.append(panel);
  }

  /** @param {MessageEvent} event */
  function hear(event) {
    const state = /** @type {State} */ (JSON.parse(event.data));
    if (state.site && state.site !== mine) location.reload();
    else show(state);
  }

  function listen() {
    source?.close();
    source = null;
    // A browser holds few connections to one server: only pages that somebody sees keep one.
    if (document.hidden) return;
    source = new EventSource("/-live/events?page=" + encodeURIComponent(location.pathname));
    source.onmessage = hear;
    source.onerror = function () {
      summary.textContent = "Nobody serves this page any more.";
      if (!panel.isConnected) document.body.append(panel);
      if (source?.readyState === EventSource.CLOSED) setTimeout(listen, 1000);
    };
  }

  document.addEventListener("visibilitychange", listen);
  addEventListener("pagehide", function () {
    source?.close();
  });
  addEventListener("pageshow", listen);
})();
