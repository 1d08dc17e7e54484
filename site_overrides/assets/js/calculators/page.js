/*
 * The bench calculators: take what is typed, show the answer or the reason beside the field.
 * A fragment fills a form in: calculators.html#leak?supply=3.42 V&pull_up=2.2 kohm 5%
 */
(function () {
  "use strict";
  const benchlore = /** @type {any} */ (window.benchlore);

  /** @type {Record<string, string>} */
  const HEAT = {
    hidden: "too little to be seen as heat",
    camera: "enough for a thermal camera, not for alcohol",
    plain: "enough to be seen with a camera or with alcohol",
  };

  /**
   * @param {number} value
   * @param {string} unit
   * @param {number} [digits]
   * @returns {string}
   */
  function show(value, unit, digits = 3) {
    return benchlore.quantity.format(value, unit, digits);
  }

  /**
   * The value, and its worst case where there is one.
   * @param {{ low: number, middle: number, high: number }} estimate
   * @param {string} unit
   */
  function spread(estimate, unit) {
    const middle = show(estimate.middle, unit);
    if (estimate.low === estimate.high) return middle;
    return middle + " (" + show(estimate.low, unit) + " to " + show(estimate.high, unit) + ")";
  }

  /**
   * The voltage to begin at, as a supply shows it and as the cautions say it.
   * @param {number} volts
   */
  function supplyVolts(volts) {
    return volts === 0.5 ? "0.5\u00a0V" : show(volts, "V");
  }

  /**
   * Pairs of a name and what it is; the first one is the answer.
   * @type {Record<string, (found: any) => [string, string][]>}
   */
  const SAID = {
    leak(found) {
      /** @type {[string, string]} */
      const healthy = ["A healthy line reads", spread(found.healthy, "V")];
      if (found.verdict === "none") return [["No leak", "the reading is healthy"], healthy];
      return [
        [found.verdict === "short" ? "Short to ground" : "Leak to ground", spread(found.resistance, "ohm")],
        ["It carries", spread(found.current, "A")],
        ["It takes", spread(found.power, "W") + ": " + HEAT[found.heat]],
        ["Any leak on this line takes at most", show(found.most_power, "W")],
        healthy,
      ];
    },
    inject(found) {
      const [begin, ceiling] = [supplyVolts(found.begin), show(found.ceiling, "V")];
      const held = found.start_amps < found.limit ? ", below the limit" : ", held by the limit";
      return [
        ["Begin at", begin + ", current limit " + show(found.limit, "A", 2)],
        ["Never above", ceiling + ", the rail's normal voltage"],
        ["The rail then reads", show(found.start_volts, "V", 2) + held],
        ["Power in the short", show(found.start_power, "W", 2) + ": " + HEAT[found.start_heat]],
        [
          "Then",
          "raise the voltage slowly, or the limit where the supply stands at it, and only while nothing warms up",
        ],
        [
          "At the ceiling",
          show(found.most, "A", 2) + " and " + show(found.most_power, "W", 2) + " in the short",
        ],
      ];
    },
    fuse(found) {
      if (found.open) return [["Fuse open", "a whole fuse never drops as much; it carries no current"]];
      /** @type {[string, string][]} */
      const said = [["Current", spread(found.current, "A")]];
      if (found.share !== null) said.push(["Share of the rating", Math.round(found.share * 100) + "\u00a0%"]);
      said.push(["Power in the fuse", spread(found.power, "W")]);
      said.push(["Mind", "a warm fuse has more resistance, so the current is, if anything, less"]);
      return said;
    },
  };

  /** @param {HTMLFormElement} form */
  function inputs(form) {
    return /** @type {HTMLInputElement[]} */ ([...form.querySelectorAll("input")]);
  }

  /** @param {HTMLFormElement} form */
  function filled(form) {
    return inputs(form).every((input) => !input.required || input.value.trim() !== "");
  }

  /**
   * @param {HTMLFormElement} form
   * @param {string} field empty: no field is refused
   * @param {string} reason
   */
  function refuse(form, field, reason) {
    for (const input of inputs(form)) {
      const wrong = input.name === field;
      const place = /** @type {HTMLElement} */ (document.getElementById(input.id + "-reason"));
      if (wrong) input.setAttribute("aria-invalid", "true");
      else input.removeAttribute("aria-invalid");
      place.textContent = wrong ? reason : "";
    }
  }

  /**
   * @param {HTMLFormElement} form
   * @param {[string, string][]} said
   */
  function answer(form, said) {
    const output = /** @type {HTMLElement} */ (form.querySelector("output"));
    output.replaceChildren(
      ...said.map(([name, what], place) => {
        const line = document.createElement("p");
        const label = document.createElement("b");
        const value = document.createElement("span");
        line.className = place ? "answer-line" : "answer-line answer-first";
        label.textContent = name;
        value.textContent = what;
        line.append(label, " ", value);
        return line;
      }),
    );
    output.hidden = said.length === 0;
  }

  /**
   * @param {HTMLFormElement} form
   * @param {boolean} typing a refusal waits until the field is left
   */
  function work(form, typing) {
    const kind = String(form.dataset.kind);
    const given = Object.fromEntries(inputs(form).map((input) => [input.name, input.value]));
    try {
      const found = benchlore.calculators.work(kind, given);
      refuse(form, "", "");
      answer(form, /** @type {(found: any) => [string, string][]} */ (SAID[kind])(found));
    } catch (error) {
      if (!(error instanceof benchlore.calculators.Refusal)) throw error;
      answer(form, []);
      const refusal = /** @type {{ field: string, reason: string }} */ (/** @type {unknown} */ (error));
      if (!typing) refuse(form, refusal.field, refusal.reason);
    }
  }

  /**
   * A piece of the address as text; a per cent sign that encodes nothing is one.
   * @param {string} piece
   */
  function decoded(piece) {
    try {
      return decodeURIComponent(piece.replace(/%(?![0-9A-Fa-f]{2})/g, "%25"));
    } catch {
      return piece;
    }
  }

  /** Fill a form from the address: `#leak?supply=3.42%20V&pull_up=2.2%20kohm`. */
  function fromAddress() {
    const [kind, query] = window.location.hash.slice(1).split("?");
    const form = document.querySelector('form[data-kind="' + CSS.escape(kind || "") + '"]');
    if (!(form instanceof HTMLFormElement) || !query) return;
    for (const pair of query.split("&")) {
      const [name, ...rest] = pair.split("=");
      const input = inputs(form).find((one) => one.name === name);
      if (input) input.value = decoded(rest.join("=")).slice(0, input.maxLength);
    }
    if (filled(form)) work(form, false);
    const next = inputs(form).find((input) => input.required && input.value === "");
    form.scrollIntoView();
    if (next) next.focus({ preventScroll: true });
  }

  for (const form of document.querySelectorAll("form[data-kind]")) {
    if (!(form instanceof HTMLFormElement)) continue;
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      work(form, false);
      const wrong = inputs(form).find((input) => input.getAttribute("aria-invalid"));
      if (wrong) wrong.focus();
    });
    // A reason that appears as the field is left would move the button away from under the pointer.
    const button = /** @type {HTMLElement} */ (form.querySelector("button"));
    button.addEventListener("mousedown", (event) => event.preventDefault());
    form.addEventListener("input", () => {
      if (filled(form)) work(form, true);
      else answer(form, []);
    });
    form.addEventListener("change", (event) => {
      const chosen = event.target;
      if (chosen instanceof HTMLSelectElement) {
        const option = chosen.selectedOptions[0];
        for (const input of inputs(form)) {
          const known = option?.dataset[input.name.replace("_up", "Up")];
          if (known) input.value = known;
        }
      }
      if (filled(form)) work(form, false);
    });
  }
  window.addEventListener("hashchange", fromAddress);
  fromAddress();
})();
