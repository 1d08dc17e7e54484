/*
 * Random numbers that a seed repeats: the counter-based generator Philox4x32-10 of Salmon, Moraes, Dror and Shaw,
 * "Parallel random numbers: as easy as 1, 2, 3" (Supercomputing 2011). A number depends on the seed, on what it is
 * drawn for, and on its place in that stream alone; so what one exercise draws changes nothing in another.
 */
(function () {
  "use strict";
  const benchlore = /** @type {StudyScripts} */ ((window.benchlore = window.benchlore || {}));
  const study = (benchlore.study = benchlore.study || /** @type {StudyParts} */ ({}));

  const M0 = 0xd2511f53;
  const M1 = 0xcd9e8d57;
  const W0 = 0x9e3779b9;
  const W1 = 0xbb67ae85;
  const ROUNDS = 10;
  const LETTERS = "23456789ABCDEFGHJKMNPQRSTVWXYZ"; // none that can be taken for another
  const LENGTH = 6;

  /**
   * The high 32 bits of a product of two 32-bit numbers.
   * @type {(a: number, b: number) => number}
   */
  function high(a, b) {
    const a0 = a & 0xffff;
    const a1 = a >>> 16;
    const b0 = b & 0xffff;
    const b1 = b >>> 16;
    const middle = a1 * b0 + ((a0 * b0) >>> 16);
    const carry = a0 * b1 + (middle & 0xffff);
    return (a1 * b1 + Math.floor(middle / 65536) + Math.floor(carry / 65536)) >>> 0;
  }

  /**
   * One block of four 32-bit numbers.
   * @param {readonly [number, number, number, number]} counter
   * @param {readonly [number, number]} key
   * @returns {[number, number, number, number]}
   */
  function philox(counter, key) {
    let [c0, c1, c2, c3] = counter;
    let [k0, k1] = key;
    for (let round = 0; round < ROUNDS; round += 1) {
      const next = [high(M1, c2) ^ c1 ^ k0, Math.imul(M1, c2), high(M0, c0) ^ c3 ^ k1, Math.imul(M0, c0)];
      c0 = next[0] >>> 0;
      c1 = next[1] >>> 0;
      c2 = next[2] >>> 0;
      c3 = next[3] >>> 0;
      k0 = (k0 + W0) >>> 0;
      k1 = (k1 + W1) >>> 0;
    }
    return [c0, c1, c2, c3];
  }

  /**
   * A text as 32 bits: FNV-1a (Fowler, Noll, Vo) over its UTF-8 bytes.
   * @param {string} text
   */
  function hash(text) {
    let value = 0x811c9dc5;
    for (const byte of new TextEncoder().encode(text)) value = Math.imul(value ^ byte, 0x01000193);
    return value >>> 0;
  }

  /**
   * The numbers of one seed for one purpose.
   * @type {(seed: string, ...purpose: ((string | number))[]) => StudyChance}
   */
  function stream(seed, ...purpose) {
    /** @type {[number, number]} */
    const key = [hash(seed), hash(purpose.join("/"))];
    let place = 0;
    /** @type {number[]} */
    let ready = [];

    /** Evenly from 0 up to but not 1, with 53 bits. */
    function uniform() {
      if (ready.length === 0) {
        const [a, b, c, d] = philox([place, 0, 0, 0], key);
        place += 1;
        ready = [whole(c, d), whole(a, b)];
      }
      return /** @type {number} */ (ready.pop());
    }

    /** @param {number} count */
    const index = (count) => Math.floor(uniform() * count);

    /**
     * An index by weights that need not sum to one.
     * @param {readonly number[]} weights
     */
    function pick(weights) {
      let total = 0;
      for (const weight of weights) total += weight;
      const wanted = uniform() * total;
      let upto = 0;
      let last = 0;
      for (let i = 0; i < weights.length; i += 1) {
        if (weights[i] <= 0) continue;
        upto += weights[i];
        last = i;
        if (wanted < upto) return i;
      }
      return last;
    }

    /** Standard normal: Box and Muller, Annals of Mathematical Statistics 29 (1958) 610. */
    function normal() {
      const radius = Math.sqrt(-2 * Math.log(1 - uniform()));
      return radius * Math.cos(2 * Math.PI * uniform());
    }

    /**
     * A copy in random order: Durstenfeld, Communications of the ACM 7 (1964) 420.
     * @template T
     * @param {readonly T[]} items
     * @returns {T[]}
     */
    function shuffled(items) {
      const mixed = items.slice();
      for (let i = mixed.length - 1; i > 0; i -= 1) {
        const j = index(i + 1);
        [mixed[i], mixed[j]] = [mixed[j], mixed[i]];
      }
      return mixed;
    }

    return { uniform, index, pick, normal, shuffled };
  }

  /** @type {(a: number, b: number) => number} */
  function whole(a, b) {
    return ((a >>> 5) * 67108864 + (b >>> 6)) / 9007199254740992;
  }

  /**
   * A seed that a person can read out, from random bytes.
   * @param {Uint8Array} bytes at least six
   */
  function seedOf(bytes) {
    return Array.from(bytes.slice(0, LENGTH), (byte) => LETTERS[byte % LETTERS.length]).join("");
  }

  /**
   * What was typed as a seed, spelled as seeds are; empty when it holds nothing.
   * @param {string} typed
   */
  function spelled(typed) {
    return typed
      .toUpperCase()
      .replace(/[^A-Z0-9]/g, "")
      .slice(0, 12);
  }

  study.random = { philox, hash, stream, seedOf, spelled, LETTERS };
})();
