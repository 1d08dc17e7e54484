/*
 * Work that the first answer would wait for, done while the person reads: the tables of the family, a first look ahead,
 * a first card, the search's index for the intake. What can be kept is kept (case.js); the rest is done for the browser, which runs code the faster the
 * more often it has run it.
 */
(function () {
  "use strict";
  const benchlore = /** @type {BenchScripts} */ ((window.benchlore = window.benchlore || {}));
  const book = benchlore.benchBook;
  const { state: desk } = benchlore.desk;
  /** Milliseconds after which a browser that is never idle does it all the same. */
  const PATIENCE = 2000;

  /** @type {Set<string>} */
  const done = new Set();

  /**
   * Prepare the work on a family, once for each revision and meter. Each step is a task of its own, and none is done
   * for a family that was left meanwhile.
   * @param {BenchFamily} family
   */
  function prepare(family) {
    const { revision, meter } = benchlore.job.present(desk.log);
    const key = [family.id, revision, meter].join("/");
    if (!family.id || !book.meters[meter] || done.has(key)) return;
    done.add(key);
    run([
      () => void benchlore.cases.caseOf(book, family, family.revisions[revision] ? revision : "", meter),
      () => void look(family),
      () => draw(family),
      () => void (desk.ui.view === "setup" && benchlore.symptoms.load().catch(() => {})),
    ]);

    /** @param {(() => void)[]} steps */
    function run([step, ...rest]) {
      whenIdle(() => {
        if (desk.family !== family) return void done.delete(key);
        step();
        if (rest.length) run(rest);
      });
    }
  }

  /**
   * What to do on a board of which nothing is known but its family.
   * @param {BenchFamily} family
   */
  function look(family) {
    const job = Object.assign({}, benchlore.job.present(desk.log), { symptoms: [], entries: [] });
    return { job, assessment: benchlore.assess.assess(book, family, job) };
  }

  /**
   * The card of that, drawn for nobody.
   * @param {BenchFamily} family
   */
  function draw(family) {
    const { job, assessment } = look(family);
    const page = Object.assign(benchlore.render.page(), {
      job,
      assessment,
      next: assessment.choices[0],
      trial: null,
    });
    benchlore.card(page);
    benchlore.rankingView.render(page);
  }

  /** @param {() => void} task */
  function whenIdle(task) {
    if (window.requestIdleCallback) window.requestIdleCallback(task, { timeout: PATIENCE });
    else window.setTimeout(task, 0);
  }

  benchlore.prepare = prepare;
})();
