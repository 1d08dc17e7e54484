// Plays simulated jobs of one symptom by a plan or by a fix order, through the study page's own jobs.
// `plans`: by revision, {tree, order}: a plan as steps {kind, id, then: [next steps], failed}, and faults to try.
// Gives the minutes, the revision and the hidden fault of each job.
([symptom, plans, count, how]) => {
  const { benchBook: book, benchFamilies, studyFamily: deck, study, likelihood } = benchlore;
  const family = benchFamilies[deck.family];

  function play(seed) {
    const job = study.job.begin(book, family, deck.meter, symptom, seed);
    const plan = plans[job.revision];
    const events = [];
    let now = study.job.play(job, deck, events);
    const take = (event) => {
      events.push(event);
      now = study.job.play(job, deck, events);
    };
    const fix = (fault) => {
      const { action, hazards } = study.job.tryOf(job, fault);
      take({ do: "fix", fault, action, state: "nothing-connected", guards: hazards });
      const record = family.faults[fault];
      if (record) take({ do: "confirm", measure: Object.keys(record.fix.confirm)[0] });
      take({ do: "judge", proved: study.job.mends(job, fault) });
    };
    if (how === "guess") {
      for (const fault of plan.order) if (now.stage !== "over") fix(fault);
      if (now.stage !== "over") take({ do: "escalate" });
      return [now.minutes, job.revision, job.hidden];
    }
    let step = plan.tree;
    while (now.stage !== "over") {
      if (step.kind === "escalate") take({ do: "escalate" });
      else if (step.kind === "fix") {
        fix(step.id);
        step = step.failed;
      } else {
        const need = family.measurements[step.id];
        take({
          do: "measure",
          measure: step.id,
          state: need.state,
          unplugged: need.unplugged,
          guards: need.links.hazards,
        });
        const { reading } = now.entries[now.entries.length - 1].readings[0];
        step = step.then[likelihood.classOf(job.one.scales[step.id], reading)];
      }
    }
    return [now.minutes, job.revision, job.hidden];
  }

  return Array.from({ length: count }, (_, n) => play("job" + n));
};
