/*
 * The card in the middle: what to do next, or how the job was closed.
 */
(function () {
  "use strict";
  const benchlore = /** @type {BenchScripts} */ ((window.benchlore = window.benchlore || {}));

  /**
   * @param {BenchPage} page
   * @returns {HTMLElement}
   */
  benchlore.card = (page) => {
    if (page.outcome.state !== "open") return benchlore.fixView.closed(page);
    const suspect = page.family.suspects[page.next.id];
    if (page.next.kind === "fix" && suspect) return benchlore.suspectView.render(page, page.next.id, suspect);
    if (page.next.kind === "fix") return benchlore.fixView.render(page, page.next.id);
    return benchlore.nextView.render(page);
  };
})();
