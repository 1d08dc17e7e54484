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
    if (page.next.kind === "fix") return benchlore.fixView.render(page, page.next.id);
    return benchlore.nextView.render(page);
  };
})();
