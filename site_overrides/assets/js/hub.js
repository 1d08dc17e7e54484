// Runs in hub.html only, for pages opened from disk: this page's localStorage is the store of all of them.
(function () {
  "use strict";

  if (location.protocol !== "file:" || window.parent === window) return;

  /** @param {{op: string, key: string, value: string, site: string}} question */
  function answer(question) {
    const prefix = "benchlore/" + question.site + "/";
    if (question.op === "get") return localStorage.getItem(prefix + question.key);
    if (question.op === "set") return localStorage.setItem(prefix + question.key, question.value);
    if (question.op === "remove") return localStorage.removeItem(prefix + question.key);
    return Object.keys(localStorage)
      .filter((name) => name.startsWith(prefix))
      .map((name) => name.slice(prefix.length))
      .sort();
  }

  window.addEventListener("message", (event) => {
    if (event.source !== window.parent || !event.data || event.data.benchlore !== "ask") return;
    /** @type {{benchlore: string, id: number, ok: boolean, value?: unknown, reason?: string}} */
    const reply = { benchlore: "answer", id: event.data.id, ok: true };
    try {
      reply.value = answer(event.data);
    } catch (error) {
      reply.ok = false;
      reply.reason = error instanceof DOMException ? error.name : "SecurityError";
    }
    window.parent.postMessage(reply, "*");
  });
  try {
    localStorage.setItem("benchlore-hub", "here"); // store.js looks for it
  } catch {
    // Full or forbidden: the first question gets the reason.
  }
  window.parent.postMessage({ benchlore: "ready" }, "*");
})();
