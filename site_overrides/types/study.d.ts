/*
 * Types of the study page's scripts, for the type check only; the page does not load this file.
 * Data types mirror tools/benchlore/site/pages/study.py; the rest says what each script adds to `benchlore.study`.
 */

/* The cards as data. */

interface StudyCard {
  readonly id: string;
  readonly kind: string;
  /** The net, or the symptom of a job. */
  readonly subject: string;
  readonly measure?: string;
  readonly outcome?: string;
  readonly between?: readonly string[];
  readonly span?: readonly number[];
}

interface StudyStop {
  readonly net: string;
  readonly level: number;
  readonly above: readonly string[];
  readonly nominal: string | null;
  readonly for: string;
}

interface StudyWorkingStep {
  readonly net: string;
  readonly formula: string;
  readonly filled: string;
  readonly worst: string;
  readonly given: readonly (readonly [string, string])[];
  readonly source: string;
}

interface StudyMeasure {
  /** Where its record stands, from the site's root. */
  readonly page: string;
  readonly rivals: readonly { readonly text: string; readonly measure: string; readonly outcome: string }[];
  readonly working: { readonly steps: readonly StudyWorkingStep[] } | null;
  readonly leads: string;
  /** The right ceiling of an injection first, then wrong ones. */
  readonly ceilings: readonly { readonly text: string; readonly volts: number }[];
  readonly nominal: { readonly text: string; readonly volts: number } | null;
}

interface StudyDeck {
  readonly format: number;
  readonly family: string;
  readonly meter: string;
  readonly rails: readonly StudyStop[];
  readonly lines: readonly StudyStop[];
  readonly symptoms: readonly {
    readonly id: string;
    readonly jobs: number;
    readonly faults: readonly string[];
  }[];
  readonly cards: readonly StudyCard[];
  readonly measures: Readonly<Record<string, StudyMeasure>>;
  readonly states: readonly string[];
  readonly modes: readonly string[];
  readonly leads: readonly string[];
  /** What leads make of the meter; "ammeter": its current input, "plugged": an ammeter that goes into a cable. */
  readonly lead_kinds: Readonly<Record<string, "usual" | "turned" | "ammeter" | "plugged" | "other">>;
  readonly parts: readonly string[];
  /** The nets of each of them. */
  readonly part_nets: Readonly<Record<string, readonly string[]>>;
  readonly hazards: readonly string[];
  readonly actions: readonly string[];
}

/* Chance. */

interface StudyChance {
  uniform(): number;
  index(count: number): number;
  pick(weights: readonly number[]): number;
  normal(): number;
  shuffled<T>(items: readonly T[]): T[];
}

/* What is known. */

type StudyStatus = "unseen" | "shaky" | "known";

interface StudyState {
  readonly reps: number;
  /** Hundredths. */
  readonly ease: number;
  /** Days. */
  readonly interval: number;
  readonly due: number;
  readonly last: number;
  readonly grade: number;
  /** Asked again the same day. */
  readonly again: boolean;
  readonly asked: number;
  readonly wrong: number;
}

interface StudyJobResult {
  readonly day: number;
  readonly seed: string;
  readonly symptom: string;
  readonly minutes: number;
  readonly plan: number;
  readonly missed: number;
  readonly end: "mended" | "escalated" | "came-back";
}

interface StudySession {
  readonly exercise: string;
  readonly seed: string;
  /** Ranges are typed, not picked. */
  readonly typed: boolean;
  readonly day: number;
  readonly cards: readonly string[];
  /** One an answered card, in the order of the cards. */
  readonly answers: readonly StudyAnswer[];
  /** What was done in the simulated job. */
  readonly events: readonly StudyEvent[];
}

interface StudyProgress {
  readonly turn: number;
  readonly cards: Readonly<Record<string, StudyState>>;
  readonly jobs: readonly StudyJobResult[];
  readonly session: StudySession | null;
}

interface StudyFile {
  readonly trainee: string;
  readonly saved: string;
  readonly families: Readonly<Record<string, StudyProgress>>;
}

interface StudyCounts {
  readonly all: number;
  readonly known: number;
  readonly shaky: number;
  readonly unseen: number;
  readonly due: number;
}

/* Questions and answers. */

interface StudyContext {
  readonly book: BenchBook;
  readonly family: BenchFamily;
  readonly deck: StudyDeck;
  /** All revisions, with the meter of the deck. */
  readonly one: BenchCase;
}

/** "silent" stands in older files alone: it was asked of faults whose records do not state the measurement. */
type StudyBearing = "fits" | "against" | "silent";

interface StudyRange {
  readonly text: string;
  readonly right: boolean;
  readonly measure: string;
  readonly outcome: string;
}

interface StudyWeighed {
  readonly fault: string;
  readonly bearing: StudyBearing;
}

interface StudyQuestion {
  readonly card: StudyCard;
  readonly measure: string;
  readonly ranges: readonly StudyRange[];
  readonly reading: BenchReading | null;
  readonly doubt: boolean;
  readonly outcomes: readonly string[];
  readonly faults: readonly StudyWeighed[];
}

/** What was chosen for a set-up; what was not asked for is left out. */
interface StudyChoice {
  readonly state?: string;
  readonly mode?: string;
  readonly leads?: string;
  readonly unplugged?: readonly string[];
  readonly ceiling?: string;
  readonly guards?: readonly string[];
}

interface StudyAnswer {
  readonly sure: "sure" | "fairly" | "guess";
  readonly unknown?: boolean;
  readonly range?: string;
  readonly from?: string;
  readonly to?: string;
  readonly outcome?: string;
  readonly faults?: Readonly<Record<string, StudyBearing | undefined>>;
  readonly choice?: StudyChoice;
}

interface StudyPart {
  readonly name: string;
  readonly yours: string;
  readonly truth: string;
  readonly right: boolean;
  readonly page?: string;
  readonly why?: string;
}

interface StudyMarked {
  readonly parts: readonly StudyPart[];
  readonly right: boolean;
  readonly grade: number;
}

/** An answer without how sure one is; or why there is none yet, beside which field, and where to go. */
type StudyGiven =
  | Omit<StudyAnswer, "sure">
  | { readonly key: string; readonly refusal: BenchRefusal; readonly focus: string };

/** A kind of card: what is asked, what an answer is worth, and how both are shown. */
interface StudyCardExercise {
  /** Before the name of the measurement. */
  readonly words: string;
  /** What is told of the measurement beside the answer. */
  readonly tells: { readonly setUp: boolean; readonly metered: boolean };
  ask(context: StudyContext, card: StudyCard, chance: StudyChance): Partial<StudyQuestion>;
  mark(context: StudyContext, question: StudyQuestion, answer: StudyAnswer): StudyPart[];
  view(page: StudyPage, asked: StudyQuestion, session: StudySession): BenchChild;
  answer(page: StudyPage, asked: StudyQuestion, session: StudySession): StudyGiven;
  after(page: StudyPage, asked: StudyQuestion, answer: StudyAnswer): BenchChild;
}

interface StudyHarm {
  readonly who: "person" | "board" | "reading";
  readonly what: "state" | "function" | "leads" | "parts" | "ceiling" | "hazard" | "power";
  readonly text: string;
  readonly page: string;
}

/* Simulated jobs. */

interface StudyTaken {
  readonly reading: BenchReading;
  /** The outcome that the board has, by index. */
  readonly outcome: number;
  /** The reading means nothing: a slipped probe, a wrong place looked at. */
  readonly blunder: boolean;
}

interface StudyReading {
  readonly measure: string;
  readonly reading: BenchReading;
  readonly verdict: BenchVerdict;
  readonly blunder: boolean;
}

interface StudyJob {
  readonly book: BenchBook;
  readonly family: BenchFamily;
  readonly one: BenchCase;
  readonly symptom: string;
  readonly seed: string;
  readonly revision: string;
  /** The customer's. */
  readonly words: string;
  readonly hidden: number;
}

interface StudyMeasureEvent {
  readonly do: "measure";
  readonly measure: string;
  readonly state: string;
  readonly unplugged: readonly string[];
  readonly guards: readonly string[];
}

interface StudyFixEvent {
  readonly do: "fix";
  readonly fault: string;
  readonly action: string;
  /** The bench state during the work; left out in older files: as the bench stood. */
  readonly state?: string;
  readonly guards: readonly string[];
}

type StudyEvent =
  | StudyMeasureEvent
  | StudyFixEvent
  | { readonly do: "confirm"; readonly measure: string }
  | { readonly do: "judge"; readonly proved: boolean }
  | { readonly do: "escalate" };

interface StudyEntry {
  readonly kind: "measure" | "set-up" | "fix" | "no-proof" | "escalate";
  /** What was known before it, and how the bench stood. */
  readonly at: BenchEvidence;
  readonly stood: BenchSetUp;
  readonly minutes: number;
  readonly harms: readonly StudyHarm[];
  /** Hazards that nobody guarded against. */
  readonly missed: readonly string[];
  readonly measure: string;
  readonly fault: string;
  readonly action: string;
  readonly readings: readonly StudyReading[];
}

interface StudyPlay {
  readonly minutes: number;
  readonly stands: BenchSetUp;
  readonly evidence: BenchEvidence;
  readonly entries: readonly StudyEntry[];
  /** Hazards that this job has met. */
  readonly met: readonly string[];
  readonly stage: "work" | "confirm" | "proof" | "over";
  readonly fixing: string;
  readonly end: "" | "mended" | "escalated" | "came-back";
}

interface StudyPlanStep {
  readonly kind: BenchKind;
  readonly id: string;
  readonly minutes: number;
  /** Minutes that it saves, on the average, against fixing by guess from there. */
  readonly worth: number;
  readonly reading: BenchReading | null;
  readonly verdict: BenchVerdict | null;
  readonly probability: number;
  readonly mended: boolean;
}

/** What the minutes of a fix are made of. */
interface StudyFixShares {
  readonly work: number;
  /** Their prices by the labour rate. */
  readonly parts: number;
  /** With the bench set up anew for it. */
  readonly proof: number;
  readonly risk: number;
}

interface StudyPlanPath {
  readonly steps: readonly StudyPlanStep[];
  readonly minutes: number;
}

interface StudyReview {
  readonly entry: StudyEntry;
  readonly best: {
    readonly kind: BenchKind;
    readonly id: string;
    readonly minutes: number;
    readonly worth: number;
  };
  readonly worth: number;
  readonly lost: number;
  readonly same: boolean;
  readonly probability: number;
}

interface StudyDebrief {
  readonly plan: StudyPlanPath;
  /** Minutes of the plan on the average over all boards with the symptom. */
  readonly expected: number;
  /** The same, fixing by guess. */
  readonly guess: number;
  readonly steps: readonly StudyReview[];
  /** The first step that left the plan, -1 where none did. */
  readonly left: number;
  readonly missed: readonly string[];
  readonly wrong: readonly StudyEntry[];
  readonly minutes: number;
}

/* The page. */

interface StudyMessage {
  readonly id: string;
  readonly text: string;
  readonly actions: readonly (readonly [string, () => void])[];
}

interface StudyPage {
  readonly context: StudyContext;
  readonly progress: StudyProgress;
  readonly trainee: string;
  readonly day: number;
  readonly act: StudyActs;
  /** Fields that are filled and not sent yet. */
  readonly drafts: Record<string, any>;
  readonly refusals: Readonly<Record<string, BenchRefusal>>;
  readonly asking: "" | "wipe" | "load";
  readonly messages: readonly StudyMessage[];
}

interface StudyActs {
  begin(exercise: string, subject?: string): void;
  repeat(exercise: string, seed: string): void;
  repeatSame(): void;
  answer(answer: StudyAnswer): void;
  next(): void;
  event(event: StudyEvent): void;
  home(): void;
  draft(key: string, value: any): void;
  redraw(focus?: string): void;
  refuse(key: string, refusal: BenchRefusal, focus: string): void;
  name(name: string): void;
  save(): void;
  load(input: HTMLInputElement): void;
  replace(sure: boolean): void;
  wipe(sure: boolean): void;
  ask(what: StudyPage["asking"]): void;
  print(): void;
  dismiss(id: string): void;
}

interface StudyParts {
  random: {
    philox(
      counter: readonly [number, number, number, number],
      key: readonly [number, number],
    ): [number, number, number, number];
    hash(text: string): number;
    stream(seed: string, ...purpose: (string | number)[]): StudyChance;
    seedOf(bytes: Uint8Array): string;
    spelled(typed: string): string;
    LETTERS: string;
  };
  schedule: {
    PASSED: number;
    HELD: number;
    review(before: StudyState | null, grade: number, day: number): StudyState;
    isDue(state: StudyState, day: number): boolean;
    statusOf(state: StudyState | undefined): StudyStatus;
    dayOf(date: string): number;
    dateOf(day: number): string;
  };
  progress: {
    FORMAT: string;
    VERSION: number;
    empty(): StudyProgress;
    answered(progress: StudyProgress, card: string, grade: number, day: number): StudyProgress;
    withSession(progress: StudyProgress, session: StudySession | null): StudyProgress;
    withJob(progress: StudyProgress, result: StudyJobResult): StudyProgress;
    merged(mine: StudyProgress, other: StudyProgress): StudyProgress;
    format(trainee: string, saved: string, families: Record<string, StudyProgress>): string;
    parse(text: string): StudyFile;
    check(data: unknown, where: string): StudyProgress;
  };
  deck: {
    EXERCISES: Vocabulary["exercises"];
    cardsOf(deck: StudyDeck, exercise: string, subject?: string): StudyCard[];
    next(
      cards: readonly StudyCard[],
      states: Readonly<Record<string, StudyState>>,
      day: number,
      size: number,
    ): string[];
    drawn(cards: readonly StudyCard[], seed: string, exercise: string, size: number): string[];
    counts(
      cards: readonly StudyCard[],
      states: Readonly<Record<string, StudyState>>,
      day: number,
    ): StudyCounts;
  };
  seed: {
    shown(deck: StudyDeck, session: { exercise: string; seed: string; cards: readonly string[] }): string;
    read(
      deck: StudyDeck,
      exercise: string,
      typed: string,
    ): { exercise: string; seed: string; cards: readonly string[] } | BenchRefusal;
    sizeOf(exercise: string): number;
  };
  setup: {
    harms(
      book: BenchBook,
      family: BenchFamily,
      deck: StudyDeck,
      measure: string,
      choice: StudyChoice,
    ): StudyHarm[];
    missed(book: BenchBook, id: string): StudyHarm;
    repowered(need: BenchMeasurement, locks: readonly BenchStanding[]): StudyHarm[];
    workedLive(family: BenchFamily, state: string | null): StudyHarm[];
  };
  simulate: {
    hidden(one: BenchCase, symptom: string, seed: string): number;
    outcomeOf(one: BenchCase, measure: string, fault: number, seed: string): number;
    reading(one: BenchCase, measure: string, fault: number, seed: string, time: number): StudyTaken;
    ofOutcome(one: BenchCase, measure: string, index: number, chance: StudyChance): BenchReading;
    clear(one: BenchCase, measure: string, index: number, chance: StudyChance): BenchReading;
    doubtful(one: BenchCase, measure: string, span: readonly number[], chance: StudyChance): BenchReading;
  };
  exercises: Record<string, StudyCardExercise>;
  questions: {
    ask(context: StudyContext, card: StudyCard, seed: string): StudyQuestion;
    mark(context: StudyContext, question: StudyQuestion, answer: StudyAnswer): StudyMarked;
  };
  job: {
    begin(book: BenchBook, family: BenchFamily, meter: string, symptom: string, seed: string): StudyJob;
    play(job: StudyJob, deck: StudyDeck, events: readonly StudyEvent[]): StudyPlay;
    missedSteps(entries: readonly StudyEntry[]): number;
    gradeOf(job: StudyJob, now: StudyPlay, plan: number): number;
  };
  debrief: {
    expected(one: BenchCase, symptom: string): number;
    guess(one: BenchCase, symptom: string): number;
    planPath(job: StudyJob): StudyPlanPath;
    review(job: StudyJob, entry: StudyEntry): StudyReview;
    sharesOf(book: BenchBook, family: BenchFamily, fault: BenchFault): StudyFixShares;
    debrief(job: StudyJob, played: StudyPlay): StudyDebrief;
  };
  keep: {
    load(family: string): Promise<{ progress: StudyProgress; damage: string }>;
    save(family: string, progress: StudyProgress): Promise<StudyProgress | null>;
    replaceAll(progress: Readonly<Record<string, StudyProgress>>): Promise<boolean>;
    families(): Promise<string[]>;
    wipe(): Promise<boolean>;
    trainee(): Promise<string>;
    nameTrainee(name: string): Promise<boolean>;
    settled(): Promise<unknown>;
  };
  parts: {
    missing(reason: string, mend: string, focus: string): StudyGiven;
    told(page: StudyPage, id: string, setUp: boolean, metered?: boolean): BenchChild;
    form(submit: () => void, ...children: BenchChild[]): HTMLFormElement;
    radios(
      page: StudyPage,
      name: string,
      legend: string,
      choices: readonly StudyOffer[],
      more?: { class?: string },
    ): HTMLElement;
    checks(
      page: StudyPage,
      name: string,
      legend: string,
      choices: readonly StudyOffer[],
      more?: { hint?: string },
    ): HTMLElement;
    unplugged(page: StudyPage, hint: string): HTMLElement | null;
    chosen(page: StudyPage, name: string): string[];
    status(status: StudyStatus, count?: number): HTMLElement;
    verdict(right: boolean, words: string): HTMLElement;
    harms(found: readonly StudyHarm[]): HTMLElement | null;
    link(page: string, ...children: BenchChild[]): HTMLAnchorElement;
    local(element: HTMLElement): HTMLElement;
    measureName(context: StudyContext, id: string): string;
    shown(context: StudyContext, measure: string, reading: BenchReading): string;
    verdictWord(context: StudyContext, measure: string, verdict: BenchVerdict): string;
  };
  homeView: { render(page: StudyPage): HTMLElement };
  cardView: { render(page: StudyPage): HTMLElement };
  jobView: { render(page: StudyPage): HTMLElement };
  debriefView: {
    render(page: StudyPage, job: StudyJob, played: StudyPlay): HTMLElement;
    blundered(job: StudyJob, taken: StudyReading, step: number): string;
  };
  sheet: { page(page: StudyPage): HTMLElement };
  page: { settled(): Promise<unknown> };
}

interface StudyOffer {
  readonly value: string;
  readonly label: BenchChild;
  readonly aside?: string;
}

interface StudyScripts extends BenchScripts {
  study: StudyParts;
  studyFamily: StudyDeck;
}
