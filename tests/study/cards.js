// Answers every card rightly, and lists the cards for which that was not so.
() => {
  const { benchBook: book, benchFamilies, studyFamily: deck } = benchlore;
  const family = benchFamilies[deck.family];
  const one = benchlore.cases.caseOf(book, family, "", deck.meter);
  const context = { book, family, deck, one };
  const wrong = [];
  for (const card of deck.cards.filter((card) => card.kind !== "job")) {
    const asked = study.questions.ask(context, card, "seed");
    const need = family.measurements[card.measure],
      more = deck.measures[card.measure];
    const answers = {
      reads: () => ({ range: asked.ranges.find((range) => range.right).text }),
      means: () => ({
        outcome: asked.doubt ? "undecided" : card.outcome,
        faults: Object.fromEntries(asked.faults.map((one) => [one.fault, one.bearing])),
      }),
      setup: () => ({
        choice: {
          state: need.state,
          mode: need.mode,
          leads: more.leads,
          unplugged: need.unplugged,
          guards: need.links.hazards,
          ceiling: more.ceilings.length ? more.ceilings[0].text : "",
        },
      }),
    };
    const answer = { sure: "sure", ...answers[card.kind]() };
    const marked = study.questions.mark(context, asked, answer);
    if (!marked.right || marked.grade !== 5) wrong.push(card.id);
    if (answer.choice && study.setup.harms(book, family, deck, card.measure, answer.choice).length)
      wrong.push("harm in " + card.id);
    if (card.kind === "means") {
      if (!asked.faults.length) wrong.push("nothing to weigh in " + card.id);
      for (const { fault } of asked.faults)
        if (!benchlore.cases.expectedReading(family, fault, card.measure))
          wrong.push(fault + " is silent in " + card.id);
      const why = marked.parts.filter((part) => part.page).map((part) => part.why || "");
      if (!why.every((text) => /^(Its record expects|The circuit predicts): \S.*\.$/.test(text)))
        wrong.push("no why in " + card.id);
    }
    if (card.kind === "means" && need.links.unit !== null) {
      const said = benchlore.verdict.judge(one, card.measure, asked.reading);
      const index = Object.values(need.outcomes).findIndex((outcome) => outcome.id === card.outcome);
      if (asked.doubt ? said.kind !== "undecided" : said.kind !== "decided" || said.index !== index)
        wrong.push("reading of " + card.id);
    }
    if (
      card.kind === "reads" &&
      need.links.unit !== null &&
      Object.values(need.outcomes).filter((o) => o.normal).length === 1
    ) {
      const normal = Object.values(need.outcomes).find((outcome) => outcome.normal);
      const text = (value) => (value === null ? "" : value + " " + need.links.unit);
      const typed = { sure: "sure", from: text(normal.range.low), to: text(normal.range.high) };
      if (!study.questions.mark(context, asked, typed).right) wrong.push("typed " + card.id);
      const off = { sure: "sure", from: text(normal.range.low * 1.3), to: text(normal.range.high * 1.3) };
      if (normal.range.low && study.questions.mark(context, asked, off).right) wrong.push("off " + card.id);
    }
  }
  return wrong;
};
