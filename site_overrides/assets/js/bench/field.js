/*
 * The field of a reading: what the meter shows, with its unit, and keys for what a phone's number pad lacks.
 */
(function () {
  "use strict";
  const benchlore = /** @type {BenchScripts} */ ((window.benchlore = window.benchlore || {}));
  const { h } = benchlore.dom;

  /** A number as far as it is typed, perhaps with a unit: after it a letter can be a command. */
  const NUMBER = /^[-+\u2212]?[0-9][0-9.,]*\s*[a-z\u03a9\u00b5]{0,3}$/i;

  /** @type {[string, string][]} */
  const KEYS = [
    ["m", "milli"],
    ["k", "kilo"],
    ["OL", "OL, over range"],
    ["\u2212", "minus"],
  ];

  /** @type {[string, string]} */
  const SLASH = ["/", "slash between two readings"];

  /**
   * @param {{id: string, unit: string, value: string, refused: boolean, by: string, act: (text: string) => void,
   *   next?: () => boolean, trial?: (text: string) => void}} field `by`: the ids that describe it; `next`: goes to
   *   what is still to be answered, true when something is; `trial`: what `w` does after a number
   */
  function field({ id, unit, value, refused, by, act, next, trial }) {
    return [
      h("input", {
        type: "text",
        id,
        class: "reading-field",
        inputmode: "decimal",
        maxlength: "60",
        spellcheck: "false",
        autocapitalize: "off",
        value,
        "aria-invalid": refused ? "true" : null,
        "aria-describedby": by,
        oninput: (/** @type {Event} */ event) => act(/** @type {HTMLInputElement} */ (event.target).value),
        onkeydown: (/** @type {Event} */ event) => {
          const { key, target } = /** @type {KeyboardEvent} */ (event);
          const typed = /** @type {HTMLInputElement} */ (target).value;
          const used =
            (key === "Enter" && typed.trim() !== "" && next?.()) ||
            (key === "w" && trial && NUMBER.test(typed.trim()));
          if (!used) return;
          event.preventDefault();
          if (key === "w") trial?.(typed);
        },
      }),
      h("span", { class: "unit", "aria-hidden": "true" }, signOf(unit)),
    ];
  }

  /**
   * Keys for a thumb; they are shown where there is one.
   * @param {string} id of the field
   * @param {boolean} [compares] two readings are typed, with a slash between
   */
  function keys(id, compares) {
    return h(
      "div",
      { class: "unit-keys", role: "group", "aria-label": "Keys for the reading" },
      (compares ? [...KEYS, SLASH] : KEYS).map(([key, name]) =>
        h(
          "button",
          {
            type: "button",
            "aria-label": name,
            // The field keeps the focus, and the number pad stays.
            onmousedown: (/** @type {Event} */ event) => event.preventDefault(),
            onclick: () => press(id, key),
          },
          key,
        ),
      ),
    );
  }

  /** @type {(id: string, key: string) => void} */
  function press(id, key) {
    const input = document.getElementById(id);
    if (!(input instanceof HTMLInputElement)) return;
    input.value = withKey(input.value, key);
    input.dispatchEvent(new Event("input", { bubbles: true }));
  }

  /**
   * What is typed, with a key more: a prefix takes the place of the last one, minus goes on and off.
   * @type {(typed: string, key: string) => string}
   */
  function withKey(typed, key) {
    if (key === "OL") return "OL";
    if (key === "\u2212") return /^[-\u2212]/.test(typed) ? typed.slice(1) : "-" + typed;
    return typed.replace(/[mk]$/, "") + key;
  }

  /** @param {string} unit */
  function signOf(unit) {
    return unit === "ohm" ? "\u03a9" : unit === "degC" ? "\u00b0C" : unit;
  }

  benchlore.field = { field, keys };
})();
