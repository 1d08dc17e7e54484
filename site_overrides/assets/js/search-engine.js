/**
 * The search itself: splits what is typed into words, looks them up in the compact index and ranks the documents.
 * The index and the splitting of words are those of tools/benchlore/site/search/. No access to the page.
 */
(function () {
  "use strict";
  const benchlore = /** @type {Benchlore} */ ((window.benchlore = window.benchlore || {}));

  /**
   * @typedef {object} Slot  one typed word
   * @property {string} text
   * @property {boolean} last  still being typed: it may go on
   * @property {boolean} longer  it must go on: `pack_`
   * @property {boolean} stop
   * @property {Map<number, number>} found  word number -> worth of a full impact
   * @property {Map<string, number>} meant  word -> how surely it was meant
   */

  const FORMAT = 5;
  /** How much a match counts when it is not the very word; a typed word that goes on counts by the share typed. */
  const QUALITY = {
    joined: 0.8,
    prefix: 0.6,
    prefixShare: 0.3,
    form: 0.8,
    typo: 0.6,
    second: 0.4,
    split: 0.8,
  };
  const STOP_WEIGHT = 0.1;
  const HOW = /^[a-z]{3,}ly$/;
  const LONGEST_JOIN = 3;
  /** A pasted letter is searched by its beginning. */
  const MOST_WORDS = 32;
  const SHORTEST_TYPO = 4;
  const MOST_IMPACT = 15;
  /** For a document whose id is what was typed, begins so, or is named among other words. */
  const SAME_ID = 3;
  const SAME_START = 1.5;
  const NAMED = 2.2;
  /** For a document whose title, or a part whose name, is what was typed, or stands among other words. */
  const SAME_NAME = 2.3;
  const NAME_AMONG = 2;
  /** For a fault whose title begins with a name of several words that was typed: `pre-charge MOSFET is shorted`. */
  const NAME_BEGINS = 1.5;
  /** A word within such a name, by which something else is called, means that hardly: `speed sensor`, SPEED. */
  const IN_A_NAME = 0.1;
  /** For a fault that has all that was typed, where the text says how something failed: `f1 blown`. */
  const FAILED = 2.3;
  const LONGEST_NAME = 4;
  /** A document that covers less than this share of what the best one covers is left out. */
  const LEAST_COVERAGE = 0.5;
  /**
   * The book knows a text when a document covers so much of it, by weight, and so strongly: a symptom, which is as short
   * as what people say, sooner than a fault, in whose prose any word may stand. What tells how to work knows it only by
   * its title.
   */
  const KNOWN_SHARE = 0.45;
  const KNOWN_STRENGTH = 0.14;
  const RECORD_STRENGTH = 0.25;
  const ASIDE_STRENGTH = 0.5;
  const ASIDE = ["technique", "hazard", "meter", "state", "family-state", "page"];
  /** What is typed in other words than the records' counts a little less. */
  const SYNONYM = 0.95;
  const SHORTEST_SYNONYM_TYPO = 5;
  const SHORTEST_DANGER_TYPO = 6;
  /** What is said in another language of the counter counts a little less than the book's own words. */
  const TONGUE = 0.9;
  /** There words that differ in their endings alone are one word; an ending is a third of the word at most. */
  const SHORTEST_STEM = 4;
  const ENDING_SHARE = 1 / 3;
  /** Its few phrases know few words: one that they lack tells less against them. */
  const TONGUE_UNKNOWN = 0.5;
  /** And a short word of the book's language is soon one letter from one of theirs: `lens`, `sens`. */
  const TONGUE_SHORTEST_TYPO = 6;

  const WORD = /[\p{L}\p{N}]+(?:(?:[_-]|(?<=[0-9])[.,](?=[0-9]))[\p{L}\p{N}]+)*/gu;
  const NUMBER = /^[0-9]+(?:[.,][0-9]+)?$/;
  const VALUE = /^([0-9]+(?:[.,][0-9]+)?)([a-z]+)$/;
  const SERIES = /^([a-z]{2,})([0-9].*)$/s;
  /** @type {Record<string, string>} */
  const SAME = {
    ß: "ss",
    æ: "ae",
    œ: "oe",
    ø: "o",
    ł: "l",
    ı: "i",
    ω: "ohm",
    μ: "u",
    "\u2010": "-",
    "\u2212": "-",
  };

  /** @param {string} text */
  function fold(text) {
    return text
      .normalize("NFKD")
      .replace(/\p{M}/gu, "")
      .toLowerCase()
      .replace(/['\u2018\u2019\u02bc`\u00ad]/g, "")
      .replace(/[ßæœøłıωμ\u2010\u2212]/g, (letter) => SAME[letter]);
  }

  /** `8,40` -> `8.4`. @param {string} text */
  function number(text) {
    const [whole, decimals = ""] = text.replace(/,/g, ".").split(".");
    const kept = decimals.replace(/0+$/, "");
    return kept ? `${whole}.${kept}` : whole;
  }

  /** @param {string} part @returns {string[]} */
  function pieces(part) {
    if (NUMBER.test(part)) return [number(part)];
    const value = VALUE.exec(part);
    if (value) return [number(value[1]), value[2]];
    const series = SERIES.exec(part);
    return series ? [series[1], series[2]] : [part];
  }

  /** The words of a text, each as its pieces: `PACK_DATA low` -> [[pack, data], [low]]. @param {string} text */
  function words(text) {
    const found = fold(text).match(WORD) || [];
    return found.map((word) => word.split(/[_-]/).flatMap(pieces));
  }

  /**
   * True when one insertion, deletion, substitution or swap of neighbours makes `typed` into `word` (edit distance 1 as
   * Damerau counts it), or into its beginning.
   * @param {string} typed @param {string} word @param {boolean} beginning
   */
  function isNear(typed, word, beginning) {
    const longer = word.length - typed.length;
    if (longer < -1 || (longer > 1 && !beginning)) return false;
    let at = 0;
    while (at < typed.length && typed.charCodeAt(at) === word.charCodeAt(at)) at += 1;
    /** @param {number} i @param {number} j */
    const rest = (i, j) => {
      if (beginning ? typed.length - i > word.length - j : typed.length - i !== word.length - j) return false;
      while (i < typed.length && typed.charCodeAt(i) === word.charCodeAt(j)) {
        i += 1;
        j += 1;
      }
      return i === typed.length;
    };
    return (
      rest(at + 1, at + 1) ||
      rest(at, at + 1) ||
      rest(at + 1, at) ||
      (typed.charCodeAt(at) === word.charCodeAt(at + 1) &&
        typed.charCodeAt(at + 1) === word.charCodeAt(at) &&
        rest(at + 2, at + 2))
    );
  }

  /** Other forms of an English word: `charges` -> charge, charged, charging. @param {string} word */
  function forms(word) {
    if (word.length < 4 || /[0-9]/.test(word)) return [];
    const stem = word.replace(/(?:ies|ing|ied|ed|es|s|e|y)$/, "");
    if (stem.length < 3) return [];
    const single = stem.replace(/([b-df-hj-np-tv-z])\1$/, "$1");
    const double = single + single.slice(-1);
    const ends = ["", "s", "es", "e", "ed", "ing", "y", "ies", "ied"];
    const all = [...ends.map((end) => stem + end), ...ends.slice(0, 6).map((end) => single + end)];
    return [...new Set([...all, `${double}ed`, `${double}ing`])].filter((form) => form !== word);
  }

  /** @param {string} text @returns {Uint8Array} */
  function fromBase64(text) {
    const raw = atob(text);
    const bytes = new Uint8Array(raw.length);
    for (let i = 0; i < raw.length; i += 1) bytes[i] = raw.charCodeAt(i);
    return bytes;
  }

  /** The words of a phrase, each as one. @param {string} phrase */
  const wholes = (phrase) => words(phrase).map((pieces) => pieces.join(""));

  /**
   * What is typed for what the records call otherwise.
   * @param {SearchIndexData["synonyms"]} data
   * @param {(word: string) => boolean} inBook whether the book knows a word, which is no typo then
   */
  function openSynonyms(data, inBook) {
    /** @type {Map<string, {said: string[], means: string[]}>} what is said for several things means each of them */
    const known = new Map();
    for (const [phrases, means] of data) {
      for (const phrase of phrases) {
        const said = wholes(phrase);
        const before = known.get(said.join(" "))?.means || [];
        known.set(said.join(" "), { said, means: [...before, ...(means.length ? means : [""])] });
      }
    }
    const longestFirst = [...known.values()].sort((a, b) => b.said.length - a.said.length);

    /** @param {string} typed @param {string} word @param {boolean} last it may go on */
    const same = (typed, word, last) =>
      typed === word ||
      forms(word).includes(typed) ||
      (typed.length >= SHORTEST_SYNONYM_TYPO &&
        !/[0-9]/.test(word) &&
        isNear(typed, word, false) &&
        !inBook(typed)) ||
      (last && typed.length >= SHORTEST_TYPO && word.startsWith(typed));

    /**
     * The text in the records' words, once for each meaning; the longest phrases first. None where nothing was said
     * otherwise.
     * @param {string} text @returns {string[]}
     */
    function otherwise(text) {
      const typed = wholes(text).slice(0, MOST_WORDS);
      const end = /\s$/.test(text) ? -1 : typed.length - 1;
      /** @type {(readonly string[] | null)[]} at the first word of a phrase its meanings; null for words that went with it */
      const meant = typed.map((word) => [word]);
      const free = typed.map(() => true);
      let found = 0;
      for (const { said, means } of longestFirst) {
        for (let from = 0; from + said.length <= typed.length; from += 1) {
          const fits = said.every(
            (word, n) => free[from + n] && same(typed[from + n], word, from + n === end),
          );
          if (!fits) continue;
          said.forEach((_, n) => {
            free[from + n] = false;
            meant[from + n] = n ? null : means;
          });
          found = Math.max(found, means.length);
        }
      }
      // What means nothing is left out; where nothing else was typed, that is what is looked up.
      return Array.from({ length: found }, (_, n) =>
        meant.flatMap((means) => means?.[Math.min(n, means.length - 1)] || []).join(" "),
      ).filter(Boolean);
    }

    return { otherwise };
  }

  /**
   * Whether a text speaks of a danger by one of these phrases, its words wherever they stand.
   * @param {string} text @param {readonly string[]} said
   */
  function speaksOf(text, said) {
    const typed = wholes(text);
    /** @param {string} word */
    const there = (word) =>
      typed.some((one) => one === word || (word.length >= SHORTEST_DANGER_TYPO && isNear(one, word, false)));
    return said.some((phrase) => wholes(phrase).every(there));
  }

  /** The vocabulary with its postings. @param {SearchIndexData} data */
  function openVocabulary(data) {
    const list = data.words ? data.words.split(" ") : [];
    const bytes = fromBase64(data.postings);
    const starts = new Uint32Array(list.length);
    const counts = new Uint32Array(list.length);
    let at = 0;
    const read = () => {
      let value = 0;
      let shift = 0;
      let byte = 0;
      do {
        byte = bytes[at++];
        value |= (byte & 127) << shift;
        shift += 7;
      } while (byte > 127);
      return value;
    };
    for (let word = 0; word < list.length; word += 1) {
      counts[word] = read();
      starts[word] = at;
      for (let left = counts[word]; left > 0; left -= 1) while (bytes[at++] > 127);
    }
    return {
      list,
      /** @param {number} word */
      count: (word) => counts[word],
      /** The place of the first word that is not before `text`. @param {string} text */
      from(text) {
        let low = 0;
        let high = list.length;
        while (low < high) {
          const middle = (low + high) >> 1;
          if (list[middle] < text) low = middle + 1;
          else high = middle;
        }
        return low;
      },
      /** @param {string} text @returns {number} -1: not a word of the book */
      find(text) {
        const place = this.from(text);
        return list[place] === text ? place : -1;
      },
      /** @param {number} word @param {(document: number, impact: number) => void} visit */
      each(word, visit) {
        at = starts[word];
        let document = 0;
        for (let left = counts[word]; left > 0; left -= 1) {
          const packed = read();
          document += packed >>> 4;
          visit(document, packed & 15);
        }
      },
    };
  }

  /** The documents of the index. @param {SearchIndexData} data */
  function openDocuments(data) {
    const keys = data.keys.split("\n");
    const titles = data.titles.split("\n");
    const details = data.details.split("\n");
    const count = data.runs.length ? keys.length : 0;
    const kinds = new Uint8Array(count);
    const families = new Int32Array(count);
    for (let run = 0, at = 0; run < data.runs.length; run += 3) {
      const next = at + data.runs[run + 2];
      kinds.fill(data.runs[run], at, next);
      families.fill(data.runs[run + 1], at, next);
      at = next;
    }
    // Neighbours with one key are one page: the ways to say a symptom.
    const pages = new Uint32Array(count);
    for (let i = 0; i < count; i += 1) {
      const same =
        i > 0 && keys[i] === keys[i - 1] && kinds[i] === kinds[i - 1] && families[i] === families[i - 1];
      pages[i] = same ? pages[i - 1] : i;
    }
    const names = keys.map((key) => key.replace(/^.*#/, ""));
    const ids = names.map((name) => name.toLowerCase().replace(/[_-]/g, ""));
    const rails = new Map(data.rails.map(([document, voltages]) => [document, voltages.split(" ")]));
    return { count, kinds, families, pages, keys, names, ids, titles, details, rails };
  }

  /** Keeps the best documents, one for each page. @param {number} limit */
  function best(limit) {
    /** @type {[number, number, number][]} document, score, page; best first */
    const kept = [];
    return {
      /** @param {number} document @param {number} score @param {number} page */
      add(document, score, page) {
        const last = kept[limit - 1];
        if (last && score <= last[1]) return;
        const same = kept.findIndex((entry) => entry[2] === page);
        if (same >= 0 && score <= kept[same][1]) return;
        if (same >= 0) kept.splice(same, 1);
        const below = kept.findIndex((entry) => entry[1] < score);
        kept.splice(below < 0 ? kept.length : below, 0, [document, score, page]);
        kept.length = Math.min(kept.length, limit);
      },
      list: () => kept,
    };
  }

  /**
   * The index of another language as one that stands alone.
   * @param {SearchIndexData} data @param {SearchIndexData["tongues"][number]} tongue @returns {SearchIndexData}
   */
  const standing = (data, tongue) => ({
    ...data,
    ...tongue,
    rails: [],
    synonyms: [],
    fails: "",
    dangers: [],
    tongues: [],
  });

  /** @param {SearchIndexData} data @param {string} [language] another one than the book's @returns {SearchEngine} */
  function open(data, language = "") {
    if (data.format !== FORMAT)
      throw new Error(`The search index has format ${data.format}, this page reads ${FORMAT}.`);
    const vocabulary = openVocabulary(data);
    const documents = openDocuments(data);
    const stopWords = new Set(data.stop.split(" "));
    const symptom = data.kinds.findIndex(([id]) => id === "symptom");
    const fault = data.kinds.findIndex(([id]) => id === "fault");
    const failing = new Set(data.fails.split(" "));
    const shows = data.shown.map((ids) => new Set(ids.split(" ")));
    /** Where the head of a part's name ends, beside stop words. */
    const ends = data.ends.split(" ");
    const names = namesOf();
    /** @param {string} word */
    const inBook = (word) => vocabulary.find(word) >= 0;
    /** `randomly`: how it happens, where the book has no such word. @param {string} word */
    const saysHow = (word) => !language && HOW.test(word) && !inBook(word);
    const synonyms = openSynonyms(data.synonyms, inBook);
    const tongues = data.tongues.map((tongue) => open(standing(data, tongue), tongue.language));
    const asTyped = (/** @type {string} */ text) =>
      language ? text.replace(/['\u2018\u2019\u02bc]/g, " ") : text;

    /**
     * What documents are called, without stop words; of a part (`speed sensor with its cable`) also the head of its name.
     * The documents of each: by its words in order as one, since `pre-charge` is typed `precharge`, and by its words in any
     * order, parted by blanks. `begins`: the faults by what their titles begin with.
     */
    function namesOf() {
      /** @type {Map<string, number[]>[]} */
      const [ordered, anyhow, begins] = [new Map(), new Map(), new Map()];
      for (let document = 0; document < documents.count; document += 1) {
        if (documents.kinds[document] === fault) add(begins, beginning(documents.titles[document]), document);
        const part = data.kinds[documents.kinds[document]][0] === "part";
        const name = words(
          part ? documents.details[document].split(",")[0] : documents.titles[document],
        ).flat();
        const end = part ? name.findIndex((word) => stopWords.has(word) || ends.includes(word)) : -1;
        for (const list of end > 0 ? [name, name.slice(0, end)] : [name]) {
          const told = list.filter((word) => !stopWords.has(word));
          if (!told.length) continue;
          add(ordered, told.join(""), document);
          add(anyhow, told.sort().join(" "), document);
        }
      }
      return { ordered, anyhow, begins };
    }

    /** What a title begins with, up to its first stop word, as one. @param {string} title */
    function beginning(title) {
      const told = words(title).flat();
      const end = told.findIndex((word) => stopWords.has(word));
      return told.slice(0, end < 0 ? told.length : end).join("");
    }

    /** @param {Map<string, number[]>} names @param {string} name @param {number} document */
    function add(names, name, document) {
      names.set(name, [...(names.get(name) || []), document]);
    }

    /**
     * The documents that a text calls by their names, with what they gain. The longer name is meant.
     * @param {Slot[]} slots @param {(document: number) => boolean} inScope
     */
    function namedBy(slots, inScope) {
      /** @type {Map<number, number>} */
      const gains = new Map();
      /** @param {number[] | undefined} called @param {number} gain */
      const give = (called, gain) => {
        for (const document of called || []) gains.set(document, Math.max(gain, gains.get(document) || 0));
      };
      const telling = slots.filter((slot) => !slot.stop).map((slot) => slot.text);
      give(names.anyhow.get(telling.sort().join(" ")), SAME_NAME);
      for (let from = 0; from < slots.length; from += 1) {
        for (let size = 2; size <= LONGEST_NAME && from + size <= slots.length; size += 1) {
          const run = slots.slice(from, from + size);
          const called = run.some((slot) => slot.stop)
            ? undefined
            : names.ordered.get(run.map((slot) => slot.text).join(""));
          give(called, NAME_AMONG);
          if (called) give(names.begins.get(run.map((slot) => slot.text).join("")), NAME_BEGINS);
          if (called?.some(inScope)) for (const slot of run) slot.meant.set(slot.text, IN_A_NAME);
        }
      }
      return gains;
    }

    /** Inverse document frequency, as BM25 has it. @param {number} count */
    const rarity = (count) => Math.log(1 + (documents.count - count + 0.5) / (count + 0.5));

    /** @param {Slot} slot @param {number} word @param {number} quality @param {number} [count] */
    function admit(slot, word, quality, count = vocabulary.count(word)) {
      const worth = quality * rarity(count);
      if (worth > (slot.found.get(word) || 0)) slot.found.set(word, worth);
    }

    /**
     * A word that the slot stands for whole: the document of that name counts more.
     * @param {Slot} slot @param {number} word @param {number} quality
     */
    function mean(slot, word, quality) {
      const text = vocabulary.list[word];
      slot.meant.set(text, Math.max(quality, slot.meant.get(text) || 0));
    }

    /** The word itself, and what it may grow into while it is typed. @param {Slot} slot */
    function lookUp(slot) {
      const exact = vocabulary.find(slot.text);
      if (exact >= 0 && !slot.longer && !(slot.stop && slot.last)) {
        admit(slot, exact, 1);
        mean(slot, exact, 1);
      }
      if (!slot.last) return;
      const first = vocabulary.from(slot.text);
      let end = first;
      let total = 0;
      for (; end < vocabulary.list.length && vocabulary.list[end].startsWith(slot.text); end += 1) {
        total += vocabulary.count(end);
      }
      for (let word = first; word < end; word += 1) {
        const share = slot.text.length / vocabulary.list[word].length;
        if (word !== exact) {
          admit(slot, word, QUALITY.prefix + QUALITY.prefixShare * share, Math.min(total, documents.count));
        }
      }
    }

    /** @param {Slot} slot */
    function lookUpForms(slot) {
      if (language) return lookUpEndings(slot);
      for (const form of forms(slot.text)) {
        const word = vocabulary.find(form);
        if (word >= 0) admit(slot, word, QUALITY.form);
      }
    }

    /**
     * Words of another language that differ in the ending alone, with an umlaut that was typed as two letters, too:
     * `laedt` finds lädt.
     * @param {Slot} slot
     */
    function lookUpEndings(slot) {
      for (const text of new Set([slot.text, slot.text.replace(/([aou])e/g, "$1")])) {
        const ending = Math.floor(text.length * ENDING_SHARE);
        const stem = text.slice(0, Math.max(SHORTEST_STEM, text.length - ending));
        for (
          let word = vocabulary.from(stem);
          text.length >= SHORTEST_STEM && vocabulary.list[word]?.startsWith(stem);
          word += 1
        ) {
          const known = vocabulary.list[word];
          if (known === text) admit(slot, word, 1);
          else if (known.length <= text.length + ending) admit(slot, word, QUALITY.form);
        }
      }
    }

    /** Words one typo away. A digit is never a typo: U30 is not U31. @param {Slot} slot @param {number} quality */
    function lookUpTypos(slot, quality) {
      const shortest = language ? TONGUE_SHORTEST_TYPO : SHORTEST_TYPO;
      if (slot.text.length < shortest || /[0-9]/.test(slot.text)) return;
      /** @type {number[]} */
      const near = [];
      vocabulary.list.forEach((word, place) => {
        if (word !== slot.text && isNear(slot.text, word, slot.last)) near.push(place);
      });
      // All alike rare: a rare word is not likelier to be meant.
      const total = near.reduce((sum, word) => sum + vocabulary.count(word), 0);
      for (const word of near) {
        const whole = Math.abs(vocabulary.list[word].length - slot.text.length) < 2;
        admit(slot, word, quality * (whole ? 1 : QUALITY.prefix), Math.min(total, documents.count));
        if (whole) mean(slot, word, quality);
      }
    }

    /** Neighbours that the book writes as one (`pack data`, PACK_DATA) count for each of them. @param {Slot[]} slots */
    function lookUpJoined(slots) {
      for (let from = 0; from < slots.length; from += 1) {
        for (let size = 2; size <= LONGEST_JOIN && from + size <= slots.length; size += 1) {
          const joined = slots.slice(from, from + size);
          const text = joined.map((slot) => slot.text).join("");
          const going = joined.some((slot) => slot.last);
          let word = vocabulary.from(text);
          const same = () => vocabulary.list[word] === text;
          for (; same() || (going && vocabulary.list[word]?.startsWith(text)); word += 1) {
            for (const slot of joined) {
              admit(slot, word, same() ? QUALITY.joined : QUALITY.prefix);
              if (same()) mean(slot, word, 1);
            }
          }
        }
      }
    }

    /** One typed word that the book writes as two. @param {Slot} slot */
    function lookUpSplit(slot) {
      for (let cut = 3; cut <= slot.text.length - 3; cut += 1) {
        const halves = [slot.text.slice(0, cut), slot.text.slice(cut)].map((half) => vocabulary.find(half));
        if (halves.every((half) => half >= 0))
          for (const half of halves) admit(slot, half, QUALITY.split / 2);
      }
    }

    /** @param {string} text @returns {Slot[]} */
    function slotsOf(text) {
      const typed = words(asTyped(text)).flat().slice(0, MOST_WORDS);
      const going = !/\s$/.test(text);
      const slots = typed.map((word, i) => ({
        text: word,
        last: going && i === typed.length - 1,
        longer: text.endsWith("_") && i === typed.length - 1,
        stop: stopWords.has(word) || saysHow(word),
        found: new Map(),
        meant: new Map(),
      }));
      for (const slot of slots) {
        lookUp(slot);
        if (!slot.longer) lookUpForms(slot);
        if (!slot.found.size) lookUpTypos(slot, QUALITY.typo);
        if (!slot.found.size) lookUpSplit(slot);
      }
      lookUpJoined(slots);
      return slots;
    }

    /**
     * The most that a slot can be worth; a word that the book does not know, as much as its rarest. So is one that only
     * symptoms of other boards have: what a board lacks does not fail on it.
     * @param {Slot} slot @param {(document: number) => boolean} inScope
     */
    function weightOf(slot, inScope) {
      const factor = slot.stop ? STOP_WEIGHT : 1;
      const unknown = language ? TONGUE_UNKNOWN * rarity(0) : rarity(0);
      let there = false;
      let elsewhere = false;
      for (const word of slot.found.keys()) {
        vocabulary.each(word, (document) => {
          if (inScope(document)) there = true;
          else if (documents.kinds[document] === symptom) elsewhere = true;
        });
        if (there) break;
      }
      const known = slot.found.size > 0 && (there || !elsewhere);
      return factor * (known ? Math.max(...slot.found.values()) : unknown);
    }

    /**
     * For every document: its points, the weight of the typed words that it covers, and how many of the telling ones.
     * @param {Slot[]} slots @param {(document: number) => boolean} inScope
     */
    function weigh(slots, inScope) {
      const points = new Float32Array(documents.count);
      const covered = new Float32Array(documents.count);
      const hits = new Uint8Array(documents.count);
      for (const slot of slots) {
        const factor = slot.stop ? STOP_WEIGHT : 1;
        const weight = weightOf(slot, inScope);
        const best = new Float32Array(documents.count);
        for (const [word, worth] of slot.found) {
          vocabulary.each(word, (document, impact) => {
            const value = (factor * worth * impact) / MOST_IMPACT;
            const before = best[document];
            if (value <= before) return;
            if (before === 0) {
              covered[document] += weight;
              if (!slot.stop) hits[document] += 1;
            }
            points[document] += value - before;
            best[document] = value;
          });
        }
      }
      return { points, covered, hits };
    }

    /**
     * Typos that are words themselves: looked at when no document has all that was typed.
     * @param {Slot[]} slots @param {(document: number) => boolean} inScope
     */
    function weighTwice(slots, inScope) {
      const first = weigh(slots, inScope);
      const telling = slots.filter((slot) => !slot.stop);
      if (telling.length < 2 || first.hits.includes(telling.length)) return first;
      for (const slot of telling) lookUpTypos(slot, QUALITY.second);
      return weigh(slots, inScope);
    }

    /** @param {number} number @param {number} [score] @returns {SearchResult} */
    function result(number, score = 0) {
      const [kind, label, path] = data.kinds[documents.kinds[number]];
      const [family, familyTitle] = data.families[documents.families[number]] || ["", ""];
      const [page, id = page] = documents.keys[number].split("#");
      return {
        number,
        kind,
        label,
        family: familyTitle,
        key: documents.keys[number],
        title: documents.titles[number] || documents.names[number],
        detail: documents.details[number] || "",
        path: address(path, family, page, id),
        score,
        language,
      };
    }

    const least = data.kinds.map(([id]) =>
      id === "symptom" ? KNOWN_STRENGTH : ASIDE.includes(id) ? ASIDE_STRENGTH : RECORD_STRENGTH,
    );

    /**
     * Scores every document in scope for a text as it stands: `add` is told each that covers enough. True when the book
     * knows the text.
     * @param {string} text @param {(document: number) => boolean} inScope
     * @param {(document: number, score: number) => void} add
     */
    function score(text, inScope, add) {
      const slots = slotsOf(text);
      const { points, covered, hits } = weighTwice(slots, inScope);
      const telling = slots.filter((slot) => !slot.stop);
      const failed =
        telling.length > 1 &&
        telling.some(({ text }) => [text, ...forms(text)].some((word) => failing.has(word)));
      const typed = slots.map((slot) => slot.text).join("");
      const longer = slots.some((slot) => slot.longer);
      const gains = namedBy(slots, inScope);
      /** @param {number} document */
      const idFactor = (document) => {
        const id = documents.ids[document];
        if (id === typed && !longer) return SAME_ID;
        if (id !== typed && id.startsWith(typed)) return SAME_START;
        const called = [id, ...(documents.rails.get(document) || [])];
        const meant = Math.max(...slots.flatMap((slot) => called.map((name) => slot.meant.get(name) || 0)));
        const whole = failed && documents.kinds[document] === fault && hits[document] === telling.length;
        return Math.max(meant * (NAMED - 1) + 1, gains.get(document) || 0, whole ? FAILED : 0);
      };
      const total = slots.reduce((sum, slot) => sum + weightOf(slot, inScope), 0) || 1;
      let most = 0;
      let known = false;
      for (let i = 0; i < documents.count; i += 1) {
        if (!inScope(i)) continue;
        if (covered[i] > most) most = covered[i];
        const share = covered[i] / total;
        if (share < KNOWN_SHARE) continue;
        const strength = idFactor(i) > 1 ? share : (points[i] / total) * share;
        if (strength >= least[documents.kinds[i]]) known = true;
      }
      for (let i = 0; i < documents.count; i += 1) {
        if (!(covered[i] / most > LEAST_COVERAGE) || !inScope(i)) continue;
        const kindWeight = data.kinds[documents.kinds[i]][3];
        add(i, (points[i] / total) * (covered[i] / total) * kindWeight * idFactor(i));
      }
      return known;
    }

    /**
     * What a text finds: the best documents, best first, one for each page, and whether the book knows it at all.
     * `family` keeps that family's and those of none, but for symptoms that it does not show; `kind` and `keys` keep documents of one kind, and of these keys;
     * `also` is another text that says the same.
     * @param {string} text @param {SearchOptions} [options] @returns {{results: SearchResult[], known: boolean}}
     */
    function answer(text, options = {}) {
      const { family = "", limit = 24, kind = "", keys = null, also = "" } = options;
      const wanted = data.families.findIndex(([id]) => id === family);
      const shown = wanted < 0 ? null : shows[wanted];
      const only = kind ? data.kinds.findIndex(([id]) => id === kind) : -1;
      /** @param {number} document */
      const inScope = (document) =>
        (wanted < 0 || [wanted, -1].includes(documents.families[document])) &&
        (only < 0 || documents.kinds[document] === only) &&
        (!shown || documents.kinds[document] !== symptom || shown.has(documents.keys[document])) &&
        (!keys || keys.includes(documents.keys[document]));
      const pages = best(limit);
      const as = [{ said: text, worth: 1 }];
      for (const said of also ? [also, ...synonyms.otherwise(also)] : synonyms.otherwise(text))
        as.push({ said, worth: SYNONYM });
      let known = false;
      for (const { said, worth } of as) {
        const knows = score(said, inScope, (document, points) =>
          pages.add(document, worth * points, documents.pages[document]),
        );
        known = known || knows;
      }
      const results = pages.list().map(([document, points]) => result(document, points));
      const theirs = tongues.map((tongue) => tongue.answer(text, options)).filter((found) => found.known);
      if (!theirs.length) return { results, known };
      return {
        results: together(
          results,
          theirs.flatMap((found) => found.results),
        ).slice(0, limit),
        known: true,
      };
    }

    /**
     * With what other languages found, best first; one result a page.
     * @param {SearchResult[]} own @param {SearchResult[]} theirs
     */
    function together(own, theirs) {
      const there = theirs.map((found) => ({
        ...found,
        number: documents.keys.indexOf(found.key),
        score: TONGUE * found.score,
      }));
      const sorted = [...own, ...there].sort((a, b) => b.score - a.score);
      return sorted.filter(({ path }, place) => sorted.findIndex((other) => other.path === path) === place);
    }

    /**
     * The hazards that a text speaks of and a board has, the most serious first.
     * @param {string} text @param {string} [family] its id
     */
    const dangers = (text, family = "") => {
      const board = data.families.findIndex(([id]) => id === family);
      return data.dangers
        .filter(([, said, without]) => !without.includes(board) && speaksOf(text, said))
        .map(([document]) => result(document));
    };

    /** The best documents for a text, best first. @param {string} text @param {SearchOptions} [options] */
    const find = (text, options) => answer(text, options).results;

    return {
      find,
      answer,
      dangers,
      otherwise: synonyms.otherwise,
      result,
      knows: inBook,
      tells: (word) => !stopWords.has(word) && !saysHow(word),
      families: data.families,
    };
  }

  /** Where a record stands, from the site's root. @param {string} path @param {string} family @param {string} page @param {string} key */
  function address(path, family, page, key) {
    return path.replace("{family}", family).replace("{page}", page).replace("{key}", key);
  }

  benchlore.searchEngine = { words, isNear, speaksOf, address, open };
})();
