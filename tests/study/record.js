// The text of a progress file that holds everything a file can hold.
() => {
  const { answered, withJob, withSession, empty, format } = study.progress;
  let one = answered(empty(), "reads/main-rail-adapter", 5, 20000);
  one = answered(one, "setup/core-volts", 1, 20000);
  const job = {
    day: 20000,
    seed: "ABC",
    symptom: "no-power",
    minutes: 41.5,
    plan: 30,
    missed: 1,
    end: "mended",
  };
  one = withJob(one, job);
  const choice = { state: "pack-only", mode: "ohms", leads: "", unplugged: ["E7"], ceiling: "", guards: [] };
  one = withSession(one, {
    exercise: "job",
    seed: "ABC",
    typed: false,
    day: 20000,
    cards: ["job/no-power"],
    answers: [{ sure: "sure", outcome: "low", faults: { "siskin-12/x": "fits" }, choice }],
    events: [
      { do: "measure", measure: "core-volts", state: "adapter-only", unplugged: [], guards: ["static"] },
      { do: "fix", fault: "siskin-12/x", action: "Replace", state: "nothing-connected", guards: [] },
      { do: "fix", fault: "siskin-12/y", action: "Clean", guards: [] },
      { do: "confirm", measure: "core-volts" },
      { do: "judge", proved: false },
      { do: "escalate" },
    ],
  });
  return format("Ada", "2026-03-01", { "siskin-12": one });
};
