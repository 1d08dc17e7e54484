/*
 * What can be chosen in a field: parts, nets, measurements and the like of the family, each with the words by which it is
 * found.
 */
(function () {
  "use strict";
  const benchlore = /** @type {WriteScripts} */ ((window.benchlore = window.benchlore || {}));
  const { plain } = benchlore.dom;

  /**
   * The options of the field at a place; null where anything can be written.
   * @type {(desk: WriteDesk, where: FormPlace) => WriteOption[] | null}
   */
  function of(desk, where) {
    const key = benchlore.labels.key(where);
    const last = key.split("/").pop() || "";
    if (key === "revisions") return Object.keys(desk.family.revisions).map((id) => ({ id, title: id }));
    if (key === "hazard") return hazards(desk);
    if (key === "techniques")
      return Object.entries(benchlore.writeBook.techniques).map(([id, one]) => ({ id, title: one.title }));
    if (key === "reads_normal") return measurements(desk);
    if (last === "part") return parts(desk);
    if (last === "at" || last === "to") {
      const at = benchlore.record.get(desk.draft.record, where.slice(0, -1));
      const part = desk.own.parts[at?.part || desk.draft.record.cause?.part];
      return nets(desk, part?.nets);
    }
    return null;
  }

  /** @type {(desk: WriteDesk, wanted?: (id: string) => boolean) => WriteOption[]} */
  function parts(desk, wanted = () => true) {
    const { kinds } = benchlore.writeBook;
    return Object.entries(desk.own.parts)
      .filter(([id]) => wanted(id))
      .map(([id, part]) => ({
        id,
        title: part.name,
        titled: true,
        aside: [kinds[part.kind].label, part.nets.join(", ")].filter(Boolean).join(" on "),
      }));
  }

  /**
   * The nets of a family; those of a part alone where it has some.
   * @type {(desk: WriteDesk, own?: readonly string[]) => WriteOption[]}
   */
  function nets(desk, own) {
    const all = own?.length ? own : Object.keys(desk.family.nets);
    return all.map((id) => ({ id, title: id }));
  }

  /** @type {(desk: WriteDesk) => WriteOption[]} */
  function hazards({ book }) {
    return Object.values(book.hazards).flatMap((one) =>
      one ? [{ id: one.id, title: one.title, aside: one.signal }] : [],
    );
  }

  /**
   * Measurements by the question that they answer.
   * @type {(desk: WriteDesk) => WriteOption[]}
   */
  function measurements(desk) {
    return Object.keys(desk.family.measurements).map((id) => measurement(desk, id));
  }

  /** @type {(desk: WriteDesk, id: string) => WriteOption} */
  function measurement({ family }, id) {
    const m = family.measurements[id];
    if (!m) return { id, title: id };
    const where = m.between.length ? m.between.join(" to ") : m.at;
    const phrase = benchlore.vocabulary.functions[m.mode]?.label || m.mode;
    const state = family.states[m.state]?.short || m.state;
    const out = m.unplugged.length ? ", " + m.unplugged.join(", ") + " unplugged" : "";
    return {
      id,
      title: plain(m.html.asks) || id,
      aside: [phrase, "at " + where + (m.links.net && " on " + m.links.net), state + out, id].join(
        " \u00b7 ",
      ),
    };
  }

  /**
   * The names that a verb takes; null where it takes a value.
   * @type {(context: WriteContext, verb: string) => string[] | null}
   */
  function places({ family, own }, verb) {
    const parts = Object.keys(own.parts);
    if (verb === "unplug" || verb === "plug")
      return [benchlore.writeBook.everything, ...own.sources, ...parts.filter((id) => own.parts[id].plugs)];
    if (["look", "press", "clean"].includes(verb))
      return [...parts, ...Object.keys(family.test_points), ...own.landmarks];
    if (verb === "measure") return Object.keys(family.measurements);
    if (verb === "inject") return Object.keys(family.nets);
    if (["remove", "fit", "replace", "reflow", "program", "set", "try"].includes(verb)) return parts;
    return null;
  }

  /**
   * A word of the vocabulary for people.
   * @type {(where: FormPlace, id: string) => string}
   */
  function word(where, id) {
    const { actions, modes, cleaners, conditions } = benchlore.writeBook;
    const last = String(where.filter((step) => typeof step === "string").pop() || "");
    /** @type {Record<string, string | undefined>} */
    const words = {
      action: actions[id],
      mode: modes[id]?.label,
      with: cleaners[id],
      when: conditions[id],
    };
    return words[last] || id.replace(/[_-]/g, " ");
  }

  benchlore.options = { of, parts, nets, measurements, measurement, places, word };
})();
