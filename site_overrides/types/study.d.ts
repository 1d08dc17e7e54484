/*
 * Types of the study page's scripts, for the type check only; the page does not load this file.
 * The types of the data (`StudyDeck`, `StudyProgress` and what they hold) are made by
 * tools/benchlore/site/script_types.py; here stands what each script adds to `benchlore.study`.
 */

/* Chance. */

interface StudyChance {
  uniform(): number;
  index(count: number): number;
  pick(weights: readonly number[]): number;
  normal(): number;
  shuffled<T>(items: readonly T[]): T[];
}

/* What is saved, in parts. */

type StudyExercise = StudySession["exercise"];
/** What was chosen for a set-up; what was not asked for is left out. */
type StudyChoice = NonNullable<StudyAnswer["choice"]>;
type StudyMeasureEvent = Extract<StudyEvent, { do: "measure" }>;
type StudyFixEvent = Extract<StudyEvent, { do: "fix" }>;

/* What is known. */

type StudyStatus = "unseen" | "shaky" | "known";

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
type StudyBearing = NonNullable<NonNullable<StudyAnswer["faults"]>[string]>;

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

/** What can be fixed, sought or tried. A suspect has no page and no action of its own. */
interface StudyTry {
  readonly title: string;
  readonly page: string;
  readonly action: string;
  readonly hazards: readonly string[];
  readonly minutes: number;
  readonly outside: boolean;
}

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
  /** The symptom, with the minutes of the plan and of fixing by guess over all boards that show it. */
  readonly complaint: StudyComplaint | null;
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
    EXERCISES: VocabularyTables["exercises"];
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
    repowered(state: string, locks: readonly BenchStanding[]): StudyHarm[];
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
    tryOf(job: StudyJob, id: string): StudyTry;
    /** Whether a fix mends the hidden fault. */
    mends(job: StudyJob, id: string): boolean;
    /** Whether the hidden fault has a record, or is of what is plugged in. */
    isKnown(job: StudyJob): boolean;
  };
  debrief: {
    planPath(job: StudyJob): StudyPlanPath;
    review(job: StudyJob, entry: StudyEntry): StudyReview;
    sharesOf(book: BenchBook, family: BenchFamily, fault: BenchFault): StudyFixShares;
    debrief(job: StudyJob, deck: StudyDeck, played: StudyPlay): StudyDebrief;
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
