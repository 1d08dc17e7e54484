/*
 * What the browser makes of typed values: the answers of the bench's readings, of the calculators' fields and of the
 * search, in the form of vectors.py. `typedAnswers(cases)` takes cases with a measurement and a meter as page data.
 */
window.typedAnswers = (cases) => {
  const number = (value) => (Number.isFinite(value) ? value : String(value));

  function reading({ measurement, meter, typed }) {
    const found = benchlore.reading.read(measurement, meter, typed);
    if ("reason" in found) return refusal(found.choices || [], found.reason);
    if (found.span)
      return { answer: "unsteady", low: found.span[0], high: found.span[1], note: found.note || "" };
    if (found.value === null) return { answer: "over-range" };
    return { answer: "value", value: found.value, note: found.note || "" };
  }

  function refusal(choices, reason) {
    return { answer: choices.length ? "ask" : "refuse", choices, reason };
  }

  function value({ typed, unit }) {
    const found = benchlore.typed.attempt(() => benchlore.typed.typed(typed, unit));
    if ("reason" in found) return refusal(found.choices, found.reason);
    return { low: number(found.low), high: number(found.high), unit: found.unit };
  }

  function field({ typed, unit }) {
    try {
      const found = benchlore.calculators.typed("field", typed, unit);
      return { low: number(found.low), high: number(found.high) };
    } catch (error) {
      return { refused: error.reason };
    }
  }

  function search({ typed }) {
    const found = benchlore.searchReading.parse(typed);
    if (!found) return null;
    return found.asks
      ? { asks: found.asks }
      : { low: number(found.low), high: number(found.high), unit: found.unit };
  }

  const ways = { reading, value, field, search };
  return cases.map((one) => ways[one.way](one));
};
