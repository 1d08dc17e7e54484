/*
 * Feeds the page's own readers of job files, progress files and addresses with nonsense that learns, in Node.
 *
 * `fuzz(asked)` with { target, inputs, seconds, seed } gives { runs, kept, found }: inputs that reached code that none
 * before had reached, as V8's own coverage says, and the first input that broke a promise, with which one.
 * Without seconds the inputs are read, and no more.
 */
globalThis.fuzz = (function () {
  "use strict";
  const { Session } = require("node:inspector");
  const LONGEST = 4096; // characters of one input
  const PATIENCE = 2000; // ms for one input

  const WORDS = [
    "__proto__",
    "constructor",
    "toString",
    "hasOwnProperty",
    "null",
    "true",
    "-0",
    "1e400",
    "1e-400",
    "NaN",
    "\u0000",
    "\ud800",
    "\u202e",
    "\ufeff",
    "%",
    "%7E",
    "%00",
    "%ff",
    "~",
    "&",
    "=",
    "&entry=",
    "r~",
    "f~",
    "e",
    "v=1",
    "#",
    "+",
    "[]",
    "{}",
    '""',
    "[[[[",
    "9007199254740993",
    " ",
    "\n",
    "x".repeat(300),
  ];

  /* What each target reads. It throws for what it refuses, and gives what it read. */
  const TARGETS = {
    job: {
      read: (text) => benchlore.jobfile.parse(text),
      write: (job) => benchlore.jobfile.format(job),
      form: () => benchlore.forms.job,
    },
    progress: {
      read: (text) => benchlore.study.progress.parse(text),
      write: ({ trainee, saved, families }) => benchlore.study.progress.format(trainee, saved, families),
      form: () => benchlore.forms.progress,
    },
    address: {
      read: (text) => benchlore.address.decode(text),
      write: (job) => "#" + benchlore.address.encode(job),
      form: () => benchlore.forms.job,
    },
  };

  /** What a reader promises: it refuses in words, or gives a value of its form that is written and read back the same. */
  function broken(target, text) {
    const { read, write, form } = TARGETS[target];
    const started = Date.now();
    let value;
    try {
      value = read(text);
    } catch (error) {
      if (Object.getPrototypeOf(error) !== Error.prototype)
        return "it was not refused, but fell over: " + error.stack;
      if (!/^[A-Z]\S* .{10}/s.test(error.message)) return "the reason is no sentence: " + error.message;
      value = null;
    }
    if ({}.polluted !== undefined) return "every object has a new field";
    if (value !== null) {
      try {
        benchlore.form.check(form(), JSON.parse(JSON.stringify(value)), target);
      } catch (error) {
        return "what it gave does not fit its form: " + error.message;
      }
      const again = read(write(value));
      if (JSON.stringify(again) !== JSON.stringify(value))
        return "it is read back otherwise than it was written";
    }
    return Date.now() - started > PATIENCE ? "it took more than " + PATIENCE + " ms" : "";
  }

  /** A generator of numbers from 0 up to 1 that a seed repeats: mulberry32 by T. Ettinger, public domain. */
  function chance(seed) {
    let state = seed >>> 0;
    return () => {
      state = (state + 0x6d2b79f5) >>> 0;
      let t = state;
      t = Math.imul(t ^ (t >>> 15), t | 1);
      t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
      return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
    };
  }

  function mutator(random, words) {
    const index = (count) => Math.floor(random() * count);
    const pick = (list) => list[index(list.length)];
    const changes = [
      (text) => cut(text, (at) => text.slice(0, at) + pick(words) + text.slice(at)),
      (text) => cut(text, (at) => text.slice(0, at) + text.slice(at + 1 + index(8))),
      (text) => cut(text, (at) => text.slice(0, at) + String.fromCharCode(index(256)) + text.slice(at + 1)),
      (text) =>
        cut(text, (at) => text.slice(0, at) + text.slice(at, at + 40).repeat(1 + index(3)) + text.slice(at)),
      (text) => text.slice(0, index(text.length)),
      (text) => structure(text),
      (text) => structure(text),
    ];
    const cut = (text, change) => change(index(text.length + 1));

    /** Change one value within a JSON text; other texts as they are. */
    function structure(text) {
      let data;
      try {
        data = JSON.parse(text);
      } catch {
        return text + pick(words);
      }
      const places = [];
      (function walk(node) {
        if (typeof node !== "object" || node === null) return;
        for (const key of Object.keys(node)) {
          places.push([node, key]);
          walk(node[key]);
        }
      })(data);
      if (!places.length) return text;
      const [node, key] = pick(places);
      const value = pick([
        null,
        true,
        -1,
        0,
        1.5,
        1e21,
        "",
        pick(words),
        [],
        {},
        [node[key]],
        { [pick(words)]: node[key] },
      ]);
      const kind = index(4);
      if (kind === 0) delete node[key];
      else if (kind === 1 && !Array.isArray(node)) node[pick(words)] = node[key];
      else if (kind === 2) node[key] = pick(places)[0][pick(places)[1]];
      else node[key] = value;
      try {
        return JSON.stringify(data);
      } catch {
        return text; // a ring
      }
    }

    return (text, other) => {
      let changed =
        random() < 0.1 ? text.slice(0, index(text.length)) + other.slice(index(other.length)) : text;
      for (let n = 1 + index(3); n > 0; n -= 1) changed = pick(changes)(changed);
      return changed.slice(0, LONGEST);
    };
  }

  /** Whether the last run reached code that none before had. */
  function coverage() {
    const session = new Session();
    session.connect();
    const post = (method, parameters) => {
      let answer;
      session.post(method, parameters, (error, result) => {
        if (error) throw error;
        answer = result;
      });
      return answer;
    };
    post("Profiler.enable");
    post("Profiler.startPreciseCoverage", { callCount: true, detailed: true });
    const seen = new Set();
    return () => {
      const before = seen.size;
      for (const script of post("Profiler.takePreciseCoverage").result) {
        if (script.url.startsWith("node:")) continue;
        for (const { ranges } of script.functions)
          for (const { startOffset, endOffset, count } of ranges)
            seen.add(startOffset + "-" + endOffset + "-" + Math.min(3, Math.floor(Math.log2(count + 1))));
      }
      return seen.size > before;
    };
  }

  return ({ target, inputs, seconds = 0, seed = 1 }) => {
    for (const [place, text] of inputs.entries()) {
      const reason = broken(target, text);
      if (reason) return { runs: place + 1, kept: [], found: { text, reason } };
    }
    if (!seconds) return { runs: inputs.length, kept: [], found: null };
    const random = chance(seed);
    const mutate = mutator(random, WORDS);
    const fresh = coverage();
    const pool = inputs.slice();
    for (const text of pool) broken(target, text);
    fresh();
    const end = Date.now() + seconds * 1000;
    let runs = pool.length;
    while (Date.now() < end) {
      const [one, other] = [0, 0].map(() => pool[Math.floor(random() * pool.length)]);
      const text = mutate(one, other);
      runs += 1;
      const reason = broken(target, text);
      if (reason) return { runs, kept: pool.slice(inputs.length), found: { text, reason } };
      if (fresh()) pool.push(text);
    }
    return { runs, kept: pool.slice(inputs.length), found: null };
  };
})();
