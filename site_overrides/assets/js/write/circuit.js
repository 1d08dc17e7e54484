/*
 * What the circuit foretells of the cause that is typed. Python has worked out every way of failing beforehand
 * (site/write_data.py); here they are looked up and mixed by their shares.
 */
(function () {
  "use strict";
  const benchlore = /** @type {WriteScripts} */ ((window.benchlore = window.benchlore || {}));

  // What a cause may say that the tables beforehand do not know of.
  const BESIDE = ["ohms", "volts", "when", "then", "share_of_time"];
  const SURE = 0.995;
  /** Share of an outcome that no healthy board reads, from which a measurement tells of the fault. */
  const ODD = 0.3;

  /**
   * What each measurement reads by the circuit with the cause; null where the circuit does not know the cause.
   * `about`: the cause says more than the tables know, and `check` works that out.
   * @type {(own: WriteFamily, cause: any) => {rows: Record<string, WriteRow>, about: boolean} | null}
   */
  function foretold(own, cause) {
    if (!cause?.part) return null;
    const variants = cause.variants?.length ? cause.variants : [{ ...cause, share: 1 }];
    /** @type {[number, any][]} */
    const tables = variants.map((/** @type {any} */ one) => [one.share || 0, tableOf(own, cause, one)]);
    if (tables.some(([, table]) => table === null)) return null;
    /** @type {Record<string, WriteRow>} */
    const rows = {};
    for (const [measure, { asked, healthy }] of Object.entries(own.measured)) {
      if (!asked) continue;
      /** @type {Record<string, number> | null} */
      let row = {};
      for (const [share, table] of tables) {
        const part = measure in table ? table[measure] : healthy;
        if (!part || !Object.keys(part).length) row = null;
        if (!row) break;
        for (const [outcome, p] of Object.entries(part)) row[outcome] = (row[outcome] || 0) + share * p;
      }
      if (row && Object.keys(row).length) rows[measure] = row;
    }
    const about = [cause, ...variants].some((one) => BESIDE.some((name) => one[name] !== undefined));
    return { rows, about };
  }

  /**
   * @param {WriteFamily} own
   * @param {any} cause
   * @param {any} one
   */
  function tableOf(own, cause, one) {
    const part = one.part || cause.part;
    const mode = one.mode;
    const at = one.at || cause.at || "";
    const to = one.to || cause.to || "";
    const ways = own.ways.filter((way) => way.part === part && way.mode === mode);
    const found =
      ways.find((way) => way.at === at && way.to === to) ||
      ways.find((way) => way.at === to && way.to === at) ||
      (at || to ? undefined : ways[0]);
    return found ? own.tables[found.reads] : null;
  }

  /**
   * The measurements that the circuit foretells to read otherwise than on a healthy board: those of the part's own nets
   * first, then the surest.
   * @type {(family: BenchFamily, rows: Record<string, WriteRow>, nets: readonly string[]) => string[]}
   */
  function telling(family, rows, nets) {
    return Object.keys(rows)
      .map((id) => ({
        id,
        odd: oddness(family, id, rows[id]),
        far: Number(!nets.includes(family.measurements[id].links.net)),
      }))
      .filter(({ odd }) => odd > ODD)
      .sort((a, b) => a.far - b.far || b.odd - a.odd || (a.id < b.id ? -1 : 1))
      .map(({ id }) => id);
  }

  /**
   * The share of a row that no healthy board reads.
   * @type {(family: BenchFamily, measure: string, row: WriteRow) => number}
   */
  function oddness(family, measure, row) {
    let odd = 0;
    for (const outcome of Object.values(family.measurements[measure].outcomes))
      if (!outcome.normal) odd += row[outcome.id] || 0;
    return odd;
  }

  /**
   * A row in words: `absent`, or `absent (70 %) or low (30 %)`.
   * @type {(family: BenchFamily, measure: string, row: WriteRow) => string}
   */
  function said(family, measure, row) {
    const ranked = /** @type {[string, number][]} */ (Object.entries(row))
      .filter(([, share]) => share >= 0.005)
      .sort((a, b) => b[1] - a[1]);
    const names = family.measurements[measure].outcomes;
    return ranked
      .map(([id, share]) => {
        const name = Object.values(names).find((one) => one.id === id)?.name || id;
        return share >= SURE ? name : name + " (" + Math.round(share * 100) + "\u00a0%)";
      })
      .join(" or ");
  }

  /**
   * What a record says that a measurement reads, as shares; null where it says nothing.
   * @type {(own: WriteFamily, record: WriteRecord, measure: string) => WriteRow | null}
   */
  function stated(own, record, measure) {
    const point = (record.test_points || []).find((/** @type {any} */ one) => one?.measure === measure);
    const reads = point?.expected_reading;
    if (typeof reads === "string" && reads) return { [reads]: 1 };
    if (reads && typeof reads === "object") return reads;
    if (!point && (record.reads_normal || []).includes(measure))
      return own.measured[measure]?.healthy || null;
    return null;
  }

  /**
   * All that is known of what the fault reads: as stated, else as foretold.
   * @type {(own: WriteFamily, record: WriteRecord) => Record<string, WriteRow>}
   */
  function reads(own, record) {
    const rows = { ...(foretold(own, record.cause)?.rows || {}) };
    for (const measure of Object.keys(own.measured)) {
      const row = stated(own, record, measure);
      if (row) rows[measure] = row;
    }
    return rows;
  }

  benchlore.circuit = { foretold, telling, oddness, said, stated, reads };
})();
