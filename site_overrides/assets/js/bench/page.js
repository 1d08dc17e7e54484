/*
 * Starts the bench page, and says what it holds to whoever asks.
 */
(function () {
  "use strict";
  const benchlore = /** @type {BenchScripts} */ ((window.benchlore = window.benchlore || {}));
  const { h, capital } = benchlore.dom;
  const book = benchlore.benchBook;
  const { state: desk, snapshot } = benchlore.desk;
  const { root, mount, showSheet, message } = benchlore.render;
  const { startNew, openLog, openAddress, refresh } = benchlore.opening;

  async function start() {
    mount(benchlore.acts);
    if (book.families.length === 0) {
      root.append(h("p", null, "This book has no board family yet."));
      return;
    }
    document.addEventListener("keydown", benchlore.keys.onKey);
    window.addEventListener("hashchange", (event) => {
      const { hash } = new URL(event.newURL);
      if (hash !== desk.written) void openAddress(hash);
    });
    window.addEventListener("beforeprint", showSheet);
    document.addEventListener("visibilitychange", () => {
      if (document.visibilityState === "visible") void refresh();
    });
    if (await openAddress(location.hash)) return;
    const kept = await benchlore.keep.load(await benchlore.keep.current());
    if (kept?.log) await openLog(kept.log);
    else {
      if (kept?.damage)
        message(
          "damaged",
          "The job that was open last cannot be read: " +
            capital(kept.damage) +
            " It is left as it is, under Jobs.",
        );
      await startNew();
    }
  }

  benchlore.bench = {
    ready: start(),
    present: () => benchlore.job.present(desk.log),
    next: () => snapshot().next,
    settled: () => {
      benchlore.update.replaceAddress();
      return benchlore.keep.settled();
    },
  };
})();
