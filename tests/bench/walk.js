/*
 * A random walk over the bench page: keys, entries, buttons, dialogs, in an order drawn by a seed. It keeps a ledger of
 * every job's entries; only undo, redo, edit and remove may take one away. `walk(seed, steps)` gives what went wrong.
 */
window.walk = (function () {
  "use strict";
  const KEYS = [
    "u",
    "y",
    "s",
    "t",
    "b",
    "l",
    "w",
    "a",
    "r",
    "k",
    "h",
    "e",
    "g",
    "j",
    "n",
    "?",
    "p",
    "Escape",
    "1",
    "2",
    "9",
    "-",
    "x",
    "Enter",
  ];
  const TEXTS = [
    "0",
    "0.007",
    "7.92",
    "8,41 V",
    "OL",
    "3.3",
    "-0.02",
    "470 mV",
    "1e9",
    "",
    "abc",
    "3 4",
    "<i>x</i>",
    "12,345",
    "\u221e",
    "9".repeat(50),
  ];
  const TAKES_AWAY = ["undo", "redo", "edit-enter", "remove-"];
  // They would leave the page, save files, or throw a job away on purpose.
  const LEFT_OUT = ["jobs-save", "jobs-md", "save-json", "save-md", "message-store", "remove-yes"];

  window.print = () => {};
  // A walk asks what is kept, not how it looks: laying out and painting takes half its time.
  for (const sheet of document.styleSheets) sheet.disabled = true;
  /** Entries of each job as last seen, as text. */
  const ledger = new Map();

  /** A random number from 0 up to 1 (mulberry32, public domain). */
  function chances(seed) {
    let state = seed;
    return () => {
      state = (state + 0x6d2b79f5) | 0;
      let t = Math.imul(state ^ (state >>> 15), 1 | state);
      t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
      return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
    };
  }

  const visible = (element) => element.getClientRects().length > 0;

  function press(key) {
    const target = document.activeElement || document.body;
    const event = new KeyboardEvent("keydown", { key, bubbles: true, cancelable: true });
    if (target.dispatchEvent(event) && key === "Enter" && target.form) target.form.requestSubmit();
    return { taken: ["u", "y"].includes(key), what: `key ${key}` };
  }

  function click(element) {
    element.click();
    const taken = TAKES_AWAY.some((start) => element.id.startsWith(start));
    return { taken, what: `click ${element.id || element.textContent}` };
  }

  function fill(field, text) {
    field.value = text;
    field.dispatchEvent(new Event("input", { bubbles: true }));
  }

  function step(chance) {
    const pick = (items) => items[Math.floor(chance() * items.length)];
    const kind = chance();
    const over = document.getElementById("over");
    if (over) {
      const buttons = [...over.querySelectorAll("button")].filter(
        (one) => visible(one) && !LEFT_OUT.includes(one.id),
      );
      return click(pick(buttons));
    }
    const field = pick([...document.querySelectorAll("#bench input[type=text]")].filter(visible));
    if (kind < 0.45 && field) {
      fill(field, pick(TEXTS));
      document
        .querySelectorAll("#bench .proof input[type=radio]")
        .forEach((one) => chance() < 0.5 && one.click());
      const submit = field.form && [...field.form.querySelectorAll("button")].filter(visible);
      if (submit?.length) return click(chance() < 0.8 ? submit[0] : pick(submit));
      field.dispatchEvent(new KeyboardEvent("keydown", { key: "Enter", bubbles: true, cancelable: true }));
      return { taken: false, what: "Enter in a field" };
    }
    if (kind < 0.75) return press(pick(KEYS));
    const things = "#bench button, #bench input[type=radio]:not(:disabled), #bench summary";
    const found = [...document.querySelectorAll(things)].filter(
      (one) => visible(one) && !LEFT_OUT.includes(one.id),
    );
    return found.length ? click(pick(found)) : press("Escape");
  }

  function look(action, said) {
    const job = benchlore.bench.present();
    const before = ledger.get(job.id) || [];
    const now = job.entries.map((entry) => JSON.stringify(entry));
    const grown = now.length - before.length;
    const same = before.every((entry, n) => entry === now[n]);
    if (!action.taken && !(same && grown <= 1)) said.push(`${action.what} changed ${before} to ${now}`);
    ledger.set(job.id, now);
  }

  async function settle() {
    await new Promise((done) => setTimeout(done, 0));
    await benchlore.bench.settled();
  }

  /** Every job of the ledger as it is kept. */
  async function kept(said) {
    await settle();
    const jobs = new Map(
      (await benchlore.keep.list()).map((one) => [one.id, one.log && benchlore.job.present(one.log)]),
    );
    for (const [id, entries] of ledger) {
      const job = jobs.get(id);
      const there = job ? job.entries.map((entry) => JSON.stringify(entry)) : [];
      if (JSON.stringify(there) !== JSON.stringify(entries))
        said.push(`job ${id} is kept as ${there}, not ${entries}`);
    }
  }

  return async function (seed, steps, known) {
    known.forEach(([id, entries]) => ledger.set(id, entries));
    const chance = chances(seed);
    const said = [];
    look({ taken: false, what: "opening" }, said);
    for (let n = 0; n < steps && said.length === 0; n += 1) {
      const action = step(chance);
      if (/key (n|j)|open|new|symptom|family/.test(action.what)) await settle();
      look(action, said);
    }
    if (chance() < 0.3) await kept(said);
    return { said, ledger: [...ledger] };
  };
})();
