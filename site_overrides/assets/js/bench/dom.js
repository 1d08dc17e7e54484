/*
 * Elements from code. Text is always text; `rich` alone takes HTML, and only what the build made from escaped prose.
 */
(function () {
  "use strict";
  const benchlore = /** @type {BenchScripts} */ ((window.benchlore = window.benchlore || {}));

  /** What elements answer, by the event's name: `renew` gives an element that stays the answers of the one made anew.
   * @type {WeakMap<EventTarget, Record<string, (event: Event) => void>>} */
  const answers = new WeakMap();
  /** What fills details. @type {WeakMap<Element, () => BenchChild>} */
  const fills = new WeakMap();

  /** @param {Event} event */
  function answer(event) {
    const at = event.currentTarget;
    if (at) answers.get(at)?.[event.type]?.(event);
  }

  /**
   * @param {Element} element
   * @param {Record<string, (event: Event) => void>} given
   */
  function listen(element, given) {
    answers.set(element, given);
    for (const name of Object.keys(given)) element.addEventListener(name, answer);
  }

  /**
   * One element. A property that starts with `on` is a listener, true an empty attribute; false and null leave it out.
   * @template {keyof HTMLElementTagNameMap} T
   * @param {T} tag
   * @param {BenchProperties | null} [properties]
   * @param {...BenchChild} children
   * @returns {HTMLElementTagNameMap[T]}
   */
  function h(tag, properties, ...children) {
    const element = document.createElement(tag);
    for (const [name, value] of Object.entries(properties || {})) {
      if (typeof value === "function")
        listen(element, {
          ...answers.get(element),
          [name.slice(2)]: /** @type {(event: Event) => void} */ (value),
        });
      else if (value === true) element.setAttribute(name, "");
      else if (value !== false && value !== null && value !== undefined)
        element.setAttribute(name, String(value));
    }
    append(element, children);
    return element;
  }

  /**
   * @param {Element} element
   * @param {readonly BenchChild[]} children
   */
  function append(element, children) {
    for (const child of children) {
      if (child === null || child === undefined || child === false) continue;
      if (typeof child === "string" || child instanceof Node) element.append(child);
      else append(element, child);
    }
  }

  /**
   * An element around HTML from the book's data: prose that was escaped, or a drawing.
   * @template {keyof HTMLElementTagNameMap} T
   * @param {T} tag
   * @param {BenchProperties | null} properties
   * @param {string} html
   * @returns {HTMLElementTagNameMap[T]}
   */
  function rich(tag, properties, html) {
    const element = h(tag, properties);
    element.innerHTML = html;
    return element;
  }

  /** @type {Map<string, string>} */
  const words = new Map();

  /**
   * The words of HTML from the book's data; read once and kept.
   * @param {string} html
   */
  function plain(html) {
    const known = words.get(html);
    if (known !== undefined) return known;
    const holder = document.createElement("template");
    holder.innerHTML = html;
    const found = (holder.content.textContent || "").replace(/\s+/g, " ").trim();
    words.set(html, found);
    return found;
  }

  const SVG = "http://www.w3.org/2000/svg";

  /**
   * One SVG element.
   * @param {string} tag
   * @param {Record<string, string | number>} attributes
   * @param {...Element} children
   */
  function svg(tag, attributes, ...children) {
    const element = document.createElementNS(SVG, tag);
    for (const [name, value] of Object.entries(attributes)) element.setAttribute(name, String(value));
    element.append(...children);
    return element;
  }

  /** @type {Record<string, [string, Record<string, string | number>]>} */
  const SHAPES = {
    normal: ["circle", { cx: 8, cy: 8, r: 6 }],
    fault: ["polygon", { points: "8,2 14.3,13.4 1.7,13.4" }],
    other: ["rect", { x: 3, y: 3, width: 10, height: 10 }],
    undecided: ["polygon", { points: "8,1.4 14.6,8 8,14.6 1.4,8" }],
  };

  /**
   * The shape that stands beside the word of a status: disc, triangle, square, diamond.
   * @param {string} status
   */
  function mark(status) {
    return drawn(status, () => {
      const [tag, attributes] = SHAPES[status] || SHAPES.other;
      const shape = svg(tag, Object.assign({ class: "mark-" + status }, attributes));
      return svg("svg", { class: "mark", viewBox: "0 0 16 16", "aria-hidden": "true" }, shape);
    });
  }

  /** Small drawings that a page shows many times: each is drawn once and copied. @type {Map<string, Element>} */
  const drawings = new Map();

  /**
   * @param {string} name
   * @param {() => Element} draw
   */
  function drawn(name, draw) {
    const first = drawings.get(name) || draw();
    drawings.set(name, first);
    return /** @type {Element} */ (first.cloneNode(true));
  }

  /** The general warning sign: a triangle with an exclamation mark (ISO 7010 W001). */
  function sign() {
    return drawn("sign", () =>
      svg(
        "svg",
        { class: "sign", viewBox: "0 0 24 24", "aria-hidden": "true" },
        svg("path", { class: "sign-edge", d: "M12 2 23 21H1Z" }),
        svg("path", { class: "sign-bar", d: "M10.9 8.5h2.2l-.4 6.5h-1.4z" }),
        svg("circle", { class: "sign-bar", cx: 12, cy: 17.6, r: 1.2 }),
      ),
    );
  }

  /**
   * A button. `key` is the letter that does the same and is shown on it.
   * @param {string} label
   * @param {() => void} press
   * @param {{key?: string, class?: string, name?: string, disabled?: boolean, id?: string,
   *   pressed?: boolean}} [more] `pressed`: of a button that stays so
   */
  function button(label, press, more = {}) {
    return h(
      "button",
      {
        type: "button",
        class: more.class || "",
        id: more.id || null,
        "aria-label": more.name || null,
        "aria-keyshortcuts": more.key === "Esc" ? "Escape" : more.key || null,
        "aria-pressed": more.pressed === undefined ? null : String(more.pressed),
        "aria-disabled": more.disabled ? "true" : null,
        onclick: () => {
          if (!more.disabled) press();
        },
      },
      label,
      more.key ? h("kbd", { "aria-hidden": "true" }, more.key) : null,
    );
  }

  /**
   * Details whose content is made when they are opened. `unfold` opens them from code.
   * @param {string} id
   * @param {BenchChild} summary
   * @param {() => BenchChild} fill
   * @param {boolean} [open] from the start
   */
  function details(id, summary, fill, open = false) {
    const head = h("summary", { onclick: filled }, summary);
    const element = h("details", { id, open }, head, open ? fill() : null);
    fills.set(element, fill);
    return element;
  }

  /** The summary of details was pressed. @param {Event} event */
  function filled(event) {
    const element = /** @type {Element} */ (event.currentTarget).parentElement;
    const fill = element && fills.get(element);
    if (fill && element.childElementCount === 1) append(element, [fill()]);
  }

  /**
   * Open details as a click would.
   * @param {Element | null} element
   */
  function unfold(element) {
    const head = element?.querySelector("summary");
    if (element instanceof HTMLDetailsElement && !element.open && head) head.click();
  }

  /**
   * Make an element that is shown like one made anew. What is alike in both stays, laid out as it was.
   * @param {ChildNode} shown
   * @param {ChildNode} fresh
   */
  function renew(shown, fresh) {
    if (shown === fresh) return;
    if (shown instanceof Text && fresh instanceof Text) {
      if (shown.data !== fresh.data) shown.data = fresh.data;
    } else if (shown instanceof Element && fresh instanceof Element && alike(shown, fresh)) {
      for (const name of shown.getAttributeNames())
        if (!fresh.hasAttribute(name)) shown.removeAttribute(name);
      for (const name of fresh.getAttributeNames()) {
        const value = fresh.getAttribute(name) || "";
        if (shown.getAttribute(name) === value) continue;
        // The page's policy takes styles from a property alone.
        if (name === "style") /** @type {HTMLElement} */ (shown).style.cssText = value;
        else shown.setAttribute(name, value);
      }
      const given = answers.get(fresh);
      if (given || answers.has(shown)) listen(shown, given || {});
      const fill = fills.get(fresh);
      if (fill) fills.set(shown, fill);
      renewWithin(shown, [...fresh.childNodes]);
    } else shown.replaceWith(fresh);
  }

  /**
   * The same with what is in an element.
   * @param {Element} parent
   * @param {readonly ChildNode[]} fresh
   */
  function renewWithin(parent, fresh) {
    const shown = [...parent.childNodes];
    fresh.forEach((one, n) => {
      if (n < shown.length) renew(shown[n], one);
      else parent.append(one);
    });
    for (const one of shown.slice(fresh.length)) one.remove();
  }

  const FIELDS = ["INPUT", "SELECT", "TEXTAREA"];

  /**
   * Whether one element can be made into another: of one kind and name, neither a field, which holds what was typed, nor
   * unfolded.
   * @param {Element} one
   * @param {Element} other
   */
  function alike(one, other) {
    if (one.tagName !== other.tagName || FIELDS.includes(one.tagName)) return false;
    if (one instanceof HTMLDetailsElement)
      return one.childElementCount === 1 && other.childElementCount === 1;
    return (
      one.id === other.id && one.getAttribute("aria-labelledby") === other.getAttribute("aria-labelledby")
    );
  }

  /**
   * The children of an element, in order; those that it has already stay in place. What has the focus goes first, while
   * nothing else has changed, since the browser lays the page out as it takes the focus away; the rest goes last, for
   * what stays would be styled anew if it stood first meanwhile.
   * @param {Element} parent
   * @param {readonly Element[]} children
   */
  function place(parent, children) {
    const gone = [...parent.children].filter((one) => !children.includes(one));
    gone.find((one) => one.contains(document.activeElement))?.remove();
    let at = parent.firstElementChild;
    for (const child of children) {
      while (at && gone.includes(at)) at = at.nextElementSibling;
      if (child === at) at = at.nextElementSibling;
      else parent.insertBefore(child, at);
    }
    for (const one of gone) one.remove();
  }

  /**
   * What was refused, beside its field; where it can mean several things, a button for each.
   * @param {BenchRefusal | undefined} refusal
   * @param {string} id
   * @param {(choice: string) => void} [pick]
   */
  function refusalOf(refusal, id, pick) {
    if (!refusal) return h("p", { class: "refusal", id, hidden: true });
    const choices = (pick && refusal.choices) || [];
    const mend = refusal.mend ? ": " + refusal.mend : "";
    const said = h(
      "p",
      { class: "refusal", id, role: "alert" },
      mark(choices.length ? "undecided" : "fault"),
      capital(refusal.reason) + (choices.length ? ". Which is it?" : mend + "."),
    );
    if (!choices.length) return said;
    const buttons = choices.map((choice, n) =>
      button(choice, () => pick?.(choice), { id: id + "-" + (n + 1) }),
    );
    return h("div", null, said, h("p", { class: "actions" }, buttons));
  }

  /** @param {string} text */
  function capital(text) {
    return text.slice(0, 1).toUpperCase() + text.slice(1);
  }

  /**
   * Links in the book's data start at the site's root; here they are made to start at this page.
   * @param {HTMLElement} element
   */
  function local(element) {
    const base = /** @type {any} */ (benchlore).site.base();
    for (const one of element.querySelectorAll("a[href]")) {
      const href = one.getAttribute("href") || "";
      if (!/^(#|\.\.\/|[a-z]+:)/i.test(href)) one.setAttribute("href", base + href);
    }
    return element;
  }

  benchlore.dom = {
    h,
    rich,
    plain,
    svg,
    mark,
    sign,
    button,
    details,
    unfold,
    renew,
    renewWithin,
    place,
    refusalOf,
    capital,
    local,
  };
})();
