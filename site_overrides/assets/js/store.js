// benchlore.store: settings and jobs kept in this browser, one store for all pages of the site.
//
// From a web server it is localStorage itself. From disk it is the localStorage of one page, hub.html, in a hidden
// frame that answers by postMessage: Firefox gives every file on disk a store of its own. Where the hub's mark is seen
// from here (Chromium), the files share one store, and it is asked directly: a message is lost when its page is left first.
(function () {
  "use strict";

  /**
   * @typedef {{ok: boolean, value?: unknown, reason?: string, id: number}} Answer
   */

  const benchlore = /** @type {Benchlore} */ ((window.benchlore = window.benchlore || {}));
  /** @param {string} name */
  const meta = (name) => {
    const found = document.querySelector('meta[name="' + name + '"]');
    return found instanceof HTMLMetaElement ? found.content : "";
  };
  const site = meta("benchlore-site");
  const prefix = "benchlore/" + site + "/";
  const HUB_MARK = "benchlore-hub"; // set by hub.js
  const fromDisk = location.protocol === "file:";
  const PATIENCE = 4000; // ms that the hub may take to load and answer on a slow disk
  let trouble = "";

  /** @param {string} reason */
  function say(reason) {
    trouble = reason;
    document.dispatchEvent(new CustomEvent("benchlore:trouble", { detail: { reason } }));
  }

  /** @param {unknown} error */
  function reasonOf(error) {
    const name = error instanceof Error || error instanceof DOMException ? error.name : "";
    if (name === "QuotaExceededError" || name === "NS_ERROR_DOM_QUOTA_REACHED") {
      return "This browser's store is full. Save your work to a file, then remove old jobs.";
    }
    return "This browser keeps nothing for this site (its storage is switched off). Save your work to a file.";
  }

  /** @param {string} op @param {string} [key] @param {string} [value] @returns {Promise<unknown>} */
  async function direct(op, key, value) {
    if (op === "get") return localStorage.getItem(prefix + key);
    if (op === "set") return localStorage.setItem(prefix + key, /** @type {string} */ (value));
    if (op === "remove") return localStorage.removeItem(prefix + key);
    /** @type {string[]} */
    const names = [];
    for (let place = 0; place < localStorage.length; place++) {
      const name = localStorage.key(place);
      if (name?.startsWith(prefix)) names.push(name.slice(prefix.length));
    }
    return names.sort();
  }

  /** @type {Promise<Window> | null} */
  let hub = null;
  /** @type {Map<number, (answer: Answer) => void>} */
  const waiting = new Map();
  let count = 0;

  function openHub() {
    hub =
      hub ||
      new Promise((resolve, reject) => {
        const frame = document.createElement("iframe");
        frame.hidden = true;
        frame.title = "Store of this site";
        frame.setAttribute("aria-hidden", "true");
        frame.tabIndex = -1;
        frame.src = meta("benchlore-base") + "hub.html";
        const late = setTimeout(() => reject(new Error("hub")), PATIENCE);
        window.addEventListener("message", (event) => {
          if (event.source !== frame.contentWindow || typeof event.data !== "object" || event.data === null)
            return;
          if (event.data.benchlore === "ready") {
            clearTimeout(late);
            resolve(/** @type {Window} */ (frame.contentWindow));
          } else if (event.data.benchlore === "answer") {
            const answer = waiting.get(event.data.id);
            waiting.delete(event.data.id);
            if (answer) answer(event.data);
          }
        });
        document.body.append(frame);
      });
    return hub;
  }

  function sharedWithHub() {
    try {
      return localStorage.getItem(HUB_MARK) !== null;
    } catch {
      return false; // forbidden here; the hub says so, too
    }
  }

  /** @param {string} op @param {string} [key] @param {string} [value] @returns {Promise<unknown>} */
  async function throughHub(op, key, value) {
    if (sharedWithHub()) return direct(op, key, value);
    const there = await openHub();
    const id = ++count;
    /** @type {Answer} */
    const answer = await new Promise((resolve, reject) => {
      const late = setTimeout(() => {
        waiting.delete(id);
        reject(new Error("hub"));
      }, PATIENCE);
      waiting.set(id, (given) => {
        clearTimeout(late);
        resolve(given);
      });
      // A file's origin is opaque, so no origin can be named; the hub answers its own parent only.
      there.postMessage({ benchlore: "ask", op, key, value, site, id }, "*");
    });
    if (!answer.ok) throw new DOMException(answer.reason || "", answer.reason || "Error");
    return answer.value;
  }

  const ask = fromDisk ? throughHub : direct;

  benchlore.store = {
    /**
     * The value kept under a key, or null when there is none or none can be read.
     * @param {string} key
     * @returns {Promise<any>}
     */
    async get(key) {
      let text;
      try {
        text = await ask("get", key);
      } catch (error) {
        say(reasonOf(error));
        return null;
      }
      try {
        return typeof text === "string" ? JSON.parse(text) : null;
      } catch {
        say("What this browser kept as '" + key + "' is damaged. It was left as it is.");
        return null;
      }
    },

    /**
     * Keep a value (anything that JSON can say). Resolves to false when it could not be kept: `trouble()` says why.
     * @param {string} key
     * @param {unknown} value
     * @returns {Promise<boolean>}
     */
    async set(key, value) {
      try {
        await ask("set", key, JSON.stringify(value));
        return true;
      } catch (error) {
        say(reasonOf(error));
        return false;
      }
    },

    /**
     * Forget a key. Resolves to false when that failed.
     * @param {string} key
     * @returns {Promise<boolean>}
     */
    async remove(key) {
      try {
        await ask("remove", key);
        return true;
      } catch (error) {
        say(reasonOf(error));
        return false;
      }
    },

    /**
     * The keys that are kept and start with a text, sorted; empty when the store cannot be read.
     * @param {string} [start]
     * @returns {Promise<string[]>}
     */
    async keys(start) {
      try {
        const names = /** @type {string[]} */ (await ask("keys"));
        return names.filter((name) => name.startsWith(start || ""));
      } catch (error) {
        say(reasonOf(error));
        return [];
      }
    },

    /** Why the last failure happened, or nothing. The document hears `benchlore:trouble` each time. */
    trouble: () => trouble,
  };
})();
