/*
 * The bench calculators: take what is typed, show the answer or the reason beside the field.
 * A fragment fills a form in: calculators.html#leak?supply=3.05 V&pull_up=2.2 kohm 5%
 */
(function () {
  "use strict";
  const benchlore = /** @type {any} */ (window.benchlore);

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

  /** @type {(form: HTMLFormElement, said: [string, string][]) => void} */
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
      answer(form, benchlore.calculators.kinds[kind].said(found));
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

  /** Fill a form from the address: `#leak?supply=3.05%20V&pull_up=2.2%20kohm`. */
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
          const known = option?.getAttribute("data-" + input.name.replaceAll("_", "-"));
          if (known) input.value = known;
        }
      }
      if (filled(form)) work(form, false);
    });
  }
  window.addEventListener("hashchange", fromAddress);
  fromAddress();
})();
