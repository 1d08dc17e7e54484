/*
 * Types of the bench page's scripts, for the type check only; the page does not load this file.
 * The types of the data (`BenchBook`, `BenchFamily` and what they hold) are made from the records' own types by
 * tools/benchlore/site/script_types.py; here stands what each script adds to `benchlore`.
 */

/* Diagnosis. */

interface BenchReading {
  /** In the base unit of the mode; null with a null outcome: over-range. */
  readonly value: number | null;
  readonly outcome: string | null;
  /** The ends of an unsteady reading; `value` is their middle. */
  readonly span?: readonly [number, number];
  /** What to look at before it is believed. */
  readonly note?: string;
  /** Its standard uncertainty, where two readings were compared. */
  readonly u?: number;
}

interface BenchRefusal {
  readonly reason: string;
  readonly mend: string;
  /** What may be meant, each as it is typed without doubt. */
  readonly choices?: readonly string[];
}

interface BenchBand {
  readonly outcome: string;
  readonly low: number;
  readonly high: number;
  readonly floor: number;
  readonly ceiling: number;
  readonly over: number;
  readonly read: boolean;
  readonly under: number;
  readonly beyond: number;
}

interface BenchScale {
  readonly bands: readonly BenchBand[];
  readonly ranges: readonly BenchMeterRange[];
  readonly anywhere: number;
  readonly lowest: number;
  readonly highest: number;
  readonly order: readonly number[];
  readonly cuts: readonly number[];
  readonly overClass: number;
  /** The healthy outcomes. */
  readonly normal: readonly number[];
  /** The share of the readings that lie anywhere which are over-range; none of a comparison. */
  readonly overRange: number;
  /** Of what something else reads abnormally, the share here. */
  readonly stray: number;
}

interface BenchSetUp {
  readonly state: string | null;
  readonly unplugged: readonly string[];
}

interface BenchPlanBase {
  readonly faults: readonly string[];
  readonly fixMinutes: readonly number[];
  readonly measures: readonly string[];
  readonly tables: readonly (readonly Float64Array[])[];
  readonly measureMinutes: readonly number[];
  readonly measureSetUp: readonly number[];
  readonly change: readonly (readonly number[])[];
  readonly escalate: number;
  /** Of each measurement: whether it needs a source in. */
  readonly live: readonly boolean[];
  /** Of each measurement's outcomes: which measurements it bars, and which fixes; null where none. */
  readonly closes: readonly (readonly (readonly boolean[] | null)[])[];
  readonly shuts: readonly (readonly (Uint8Array | null)[])[];
  /** The fixes that ask for an abnormal reading first, and those that each outcome speaks for; null where none. */
  readonly guarded: Uint8Array;
  readonly opens: readonly (readonly (Uint8Array | null)[])[];
  /** Of each fix, the measurements that come before it, since it injects current. */
  readonly checks: readonly (readonly number[])[];
  /** The hypotheses of the further columns of `tables`, which stand before the last. */
  readonly extra: readonly number[];
  /** Of each fix: the hypotheses that it mends, its own among them. */
  readonly mends: readonly (readonly number[])[];
  /** The ohms of the supply rails. */
  readonly railsFirst: readonly number[];
  /** By symptom, what its family names to be measured before a source goes in. */
  readonly beforePower: Readonly<Record<string, readonly number[]>>;
  /** What is measured where no symptom is known, rail by rail in start order. */
  readonly down: readonly number[];
}

/** An interlock that stands, with the reading that set it. */
interface BenchStanding {
  readonly measure: string;
  readonly outcome: string;
  readonly lock: BenchInterlock;
}

/** A weight for each way of failing: see `columnsOf` in case.js. */
interface BenchColumns {
  readonly count: number;
  readonly extra: readonly number[];
  /** Of each column in its hypothesis. */
  readonly shares: readonly number[];
  /** Of each column but those of something else: its row among those of the hypotheses, and of the ways after them. */
  readonly rows: readonly number[];
}

/** The different rows of a measurement; which one each hypothesis has, and each column. */
interface BenchColumnRows {
  readonly rows: readonly (readonly number[])[];
  readonly of: readonly number[];
  readonly columns: readonly number[];
}

interface BenchCase {
  readonly book: BenchBook;
  readonly family: BenchFamily;
  readonly revision: string;
  readonly meter: BenchMeter;
  readonly meterId: string;
  readonly faults: readonly string[];
  /** How many of them have a record; they come first, the suspects after them. */
  readonly recorded: number;
  readonly prior: readonly number[];
  readonly shows: Readonly<Record<string, readonly number[] | undefined>>;
  readonly scales: Readonly<Record<string, BenchScale>>;
  readonly expected: Readonly<Record<string, readonly (readonly number[])[]>>;
  readonly reads: Readonly<Record<string, BenchColumnRows>>;
  readonly columns: BenchColumns;
  /** By measurement, the hypotheses of which it is stated or foretold. */
  readonly says: Readonly<Record<string, ReadonlySet<number>>>;
  readonly setUps: readonly BenchSetUp[];
  readonly bench: BenchPlanBase;
}

interface BenchSeen {
  readonly measure: string;
  readonly reading: BenchReading;
  /** The case of the meter that took the reading. */
  readonly seen: BenchCase;
}

interface BenchEvidence {
  readonly symptoms: readonly string[];
  readonly readings: readonly BenchSeen[];
  readonly tried: readonly string[];
  /** The measurements that were read twice alike. */
  readonly confirmed?: readonly string[];
}

/** Two entries of which one is wrong, and which to measure again; empty when neither helps. */
interface BenchContradiction {
  readonly readings: readonly [string, string];
  readonly again: readonly string[];
}

/** Two faults, by index, that explain what no single one does. */
interface BenchBoth {
  readonly faults: readonly [number, number];
  readonly probability: number;
}

/* Jobs. */

interface BenchSetup {
  readonly label: string;
  readonly family: string;
  readonly revision: string;
  readonly symptoms: readonly string[];
  /** What the customer said, where the book has no such symptom. */
  readonly words: string;
  readonly notes: string;
  readonly meter: string;
}

interface BenchTaken {
  readonly measure: string;
  readonly meter: string;
  readonly text: string;
}

type BenchReadingEntry = BenchTaken & { readonly kind: "reading"; readonly at: string };
type BenchFixEntry = {
  readonly kind: "fix";
  readonly fault: string;
  readonly result: "proved" | "failed";
  /** Whether what the customer saw is gone after the fix; unseen where a reading had failed and nobody looked. */
  readonly symptom: "gone" | "still" | "unseen";
  readonly confirm: readonly BenchTaken[];
  readonly at: string;
};
type BenchEscalateEntry = { readonly kind: "escalate"; readonly at: string };
type BenchEntry = BenchReadingEntry | BenchFixEntry | BenchEscalateEntry;

interface BenchJob extends BenchSetup {
  readonly format: string;
  readonly version: number;
  readonly id: string;
  readonly started: string;
  readonly entries: readonly BenchEntry[];
}

type BenchStep =
  | { readonly do: "set"; readonly setup: Partial<BenchSetup> }
  | { readonly do: "add"; readonly entry: BenchEntry }
  | { readonly do: "edit"; readonly at: number; readonly entry: BenchEntry }
  | { readonly do: "remove"; readonly at: number };

interface BenchLog {
  readonly base: BenchJob;
  readonly steps: readonly BenchStep[];
  readonly cursor: number;
}

/** What is offered for a customer's words. */
interface BenchFound {
  readonly offers: readonly { readonly id: string; readonly phrase: string; readonly language: string }[];
  /** False: the book does not know it. */
  readonly known: boolean;
  /** False while the index is not there. */
  readonly ready: boolean;
}

/* Looking ahead. */

type BenchKind = "measure" | "fix" | "escalate";

interface BenchLook {
  readonly bench: BenchPlanBase;
  readonly inverse: Float64Array;
  readonly floors: Float64Array;
  readonly hopeless: Float64Array;
  readonly guards: Float64Array;
  /** The fixes that mend more than their own fault. */
  readonly wide: readonly number[];
  /** Written over at each use: what each fix mends, what is left for others, a fix order with its ratios, and the weights of each depth. */
  readonly mended: Float64Array;
  readonly waiting: Float64Array;
  readonly order: Int32Array;
  readonly ratios: Float64Array;
  readonly levels: Float64Array[];
  /** The weights of the hypotheses. */
  readonly folded: Float64Array;
  readonly locked: Uint8Array;
}

interface BenchPlace {
  readonly weights: Float64Array;
  readonly open: readonly number[];
  readonly setUp: number;
  /** The fixes that may not be tried, and those of them that an interlock bars. */
  readonly locked: Uint8Array;
  readonly shut: Uint8Array;
  /** The measurements that come before any source goes in. */
  readonly first: readonly number[];
  /** Those that are made in this order while nothing else is known. */
  readonly down: readonly number[];
}

interface BenchChoice {
  readonly kind: BenchKind;
  readonly index: number;
  readonly minutes: number;
  readonly expected: number;
}

interface BenchAction extends BenchChoice {
  /** Of the measurement or the fault; empty for escalation. */
  readonly id: string;
}

/* What a job comes to. */

interface BenchVerdict {
  /** The outcome that the reading is taken for. */
  readonly index: number;
  /** Probabilities, all outcomes equally likely beforehand; all zero when the reading fits none. */
  readonly outcomes: readonly number[];
  readonly kind: "decided" | "undecided" | "outside";
  readonly between: readonly number[];
  /** Whether it lies outside every outcome, between two. */
  readonly beside: boolean;
  /** Half width of the accuracy limits, in the base unit. */
  readonly spread: number;
}

interface BenchJudged {
  /** Number of the entry, -1 for a reading that is not entered. */
  readonly entry: number;
  /** Result of the fix whose proof it is, else empty. */
  readonly proof: string;
  readonly measure: string;
  readonly text: string;
  readonly meter: string;
  readonly seen: BenchCase;
  readonly reading: BenchReading | null;
  readonly refusal: BenchRefusal | null;
  readonly verdict: BenchVerdict | null;
}

interface BenchRank {
  readonly index: number;
  /** Empty for "not in the book". */
  readonly id: string;
  readonly p: number;
  readonly move: number;
  readonly minutes: number;
  readonly out: boolean;
  /** Its own fix was tried; one that is out without it has its part new already. */
  readonly tried: boolean;
}

interface BenchAssessment {
  readonly one: BenchCase;
  readonly taken: readonly BenchJudged[];
  readonly evidence: BenchEvidence;
  readonly probabilities: readonly number[];
  readonly before: readonly number[] | null;
  readonly measured: readonly string[];
  readonly stands: BenchSetUp;
  /** The bench states that readings bar. */
  readonly locks: readonly BenchStanding[];
  readonly choices: readonly BenchAction[];
  readonly place: BenchPlace;
  /** Expected minutes of fixing without measuring. */
  readonly guess: number;
  readonly ranking: readonly BenchRank[];
  /** False when nothing in the book explains the readings. */
  readonly explained: boolean;
  /** Measurements that the likeliest fault leaves unexplained. */
  readonly clashes: readonly string[];
  readonly contradictions: readonly BenchContradiction[];
  readonly both: readonly BenchBoth[];
  readonly problems: readonly string[];
}

interface BenchSheet {
  readonly title: string;
  readonly facts: readonly (readonly [string, string])[];
  readonly entries: readonly (readonly [string, string, string, string])[];
  readonly ranking: readonly (readonly [string, string])[];
  readonly fix: {
    readonly title: string;
    readonly steps: readonly string[];
    readonly parts: readonly string[];
  } | null;
  readonly hazards: readonly { readonly signal: string; readonly says: string }[];
  readonly problems: readonly string[];
}

/* What is kept. */

interface BenchKept {
  readonly id: string;
  readonly log: BenchLog | null;
  readonly time: string;
  /** Why it cannot be read, and its text as it is. */
  readonly damage: string;
  readonly raw: string;
}

/* The page. */

type BenchChild = Node | string | null | undefined | false | readonly BenchChild[];
type BenchProperties = Record<
  string,
  string | number | boolean | null | undefined | ((event: Event) => void)
>;

interface BenchMessage {
  readonly id: string;
  readonly text: string;
  readonly label: string;
  readonly press: (() => void) | null;
}

interface BenchTrial {
  readonly judged: BenchJudged;
  readonly assessment: BenchAssessment;
}

interface BenchUi {
  view: "setup" | "work";
  /** Whether the standing hazards were read. */
  read: boolean;
  /** Entries that the job was opened with: whoever opens it has not seen their cards on this page. */
  opened: number;
  chosen: BenchAction | null;
  trial: BenchTrial | null;
  /** Whether the next reading is tried, not entered. */
  supposing: boolean;
  /** How many steps of each fix are done since the last entry, by fault. */
  steps: Record<string, number>;
  /** How many steps of each fix were done at most: so far its hazards were shown. */
  reached: Record<string, number>;
  /** The entry whose proof is put right, -1 for none: the card is that of its fix, even of a job that it closed. */
  proving: number;
  /** What is typed and not entered, by field. */
  drafts: Record<string, string>;
  refusals: Record<string, BenchRefusal>;
  editing: number;
  dialog: "" | "keys" | "list" | "jobs";
  allFaults: boolean;
  readingMeter: string;
  jobs: readonly BenchKept[];
  removing: string;
  messages: readonly BenchMessage[];
  /** Id of the element to go to when shown next. */
  focus: string;
}

/** What changes on the page. */
interface BenchDeskState {
  log: BenchLog;
  family: BenchFamily;
  assessment: BenchAssessment | null;
  ui: BenchUi;
  /** The address that this page wrote last. */
  written: string;
}

/** The state as it is now, with what follows from it. */
interface BenchSnapshot {
  readonly book: BenchBook;
  readonly family: BenchFamily;
  readonly log: BenchLog;
  readonly job: BenchJob;
  readonly ui: BenchUi;
  readonly assessment: BenchAssessment;
  readonly next: BenchAction;
  readonly outcome: { readonly state: "open" | "proved" | "escalated"; readonly fault: string };
  readonly trial: BenchTrial | null;
  readonly readingMeter: string;
  /** Hazards that this job has shown in full already. */
  readonly met: readonly string[];
  titleOf(index: number): string;
  faultTitle(id: string): string;
  actionName(action: { kind: BenchKind; id: string }): string;
}

/** What a view reads, and what its buttons do. */
interface BenchPage extends BenchSnapshot {
  readonly act: BenchActs;
}

interface BenchActs {
  set(setup: Partial<BenchSetup>): void;
  label(text: string): void;
  read(): void;
  /** So many steps of a fix are done. */
  stepped(id: string, done: number): void;
  revise(revision: string): void;
  toggleSymptom(id: string): void;
  pickSymptom(offer: { readonly id: string; readonly phrase: string }, said: string): void;
  typeSymptom(text: string): void;
  /** What Enter does in that field. */
  takeSymptom(text: string): void;
  keepWords(text: string): void;
  note(text: string): void;
  typeList(text: string): void;
  type(key: string, text: string): void;
  pick(key: string, choice: string, focus: string): void;
  work(): void;
  setup(): void;
  useMeter(id: string): void;
  /** `field`: the id of the field in which it was typed. */
  enter(measure: string, text: string, field?: string): void;
  /** What if: tries what is typed, or says that the next reading is tried, and takes that back. */
  suppose(measure: string): void;
  whatIf(measure: string, text: string): void;
  forget(): void;
  prove(fault: string): void;
  /** True when a reading typed for a proof is not the wanted one: nothing more is asked for. */
  failed(fault: string): boolean;
  escalate(): void;
  choose(kind: BenchKind, id: string): void;
  best(): void;
  undo(): void;
  redo(): void;
  edit(at: number): void;
  editProof(at: number): void;
  change(at: number, text: string, meter: string): void;
  removeEntry(at: number): void;
  allFaults(): void;
  open(dialog: BenchUi["dialog"]): void;
  closed(): void;
  newJob(): void;
  openJob(id: string): void;
  removeJob(id: string, sure: boolean): void;
  saveFile(form: "json" | "md"): void;
  saveRaw(kept: BenchKept): void;
  openFile(input: HTMLInputElement): void;
  print(): void;
  toField(): void;
  dismiss(id: string): void;
}

/** The site's scripts as the bench page sees them: the data and every part is loaded. */
interface BenchScripts extends Benchlore, TypedScripts {
  forms: NonNullable<Benchlore["forms"]>;
  form: NonNullable<Benchlore["form"]>;
  benchBook: BenchBook;
  benchFamilies: Record<string, BenchFamily>;
  personal: NonNullable<Benchlore["personal"]>;
  search: NonNullable<Benchlore["search"]>;
  searchAnswer: NonNullable<Benchlore["searchAnswer"]>;
  searchEngine: NonNullable<Benchlore["searchEngine"]>;
  store: SiteStore;
  records: Records;
  quantity: {
    format(value: number, unit: string, digits?: number): string;
    reading(value: number, unit: string): string;
    withSpread(value: number, spread: number, unit: string): string;
    share(value: number): string;
    minutes(value: number): string;
    plural(count: number, one: string, many?: string): string;
  };
  reading: {
    read(measurement: BenchMeasurement, meter: BenchMeter, typed: string): BenchReading | BenchRefusal;
    refused(found: BenchReading | BenchRefusal): found is BenchRefusal;
  };
  meter: {
    exact(quantity: BenchQuantity): number;
    normalBetween(low: number, high: number): number;
    rangeFor(ranges: readonly BenchMeterRange[], value: number): BenchMeterRange;
    largestReading(ranges: readonly BenchMeterRange[]): number;
    accuracyLimit(ranges: readonly BenchMeterRange[], value: number): number;
    standardUncertainty(ranges: readonly BenchMeterRange[], value: number): number;
    rangesOf(measurement: BenchMeasurement, meter: BenchMeter): readonly BenchMeterRange[];
    ratioUncertainty(ranges: readonly BenchMeterRange[], one: number, other: number): number;
    readonly MOST_APART: number;
  };
  likelihood: {
    BLUNDER: number;
    HEALTHY: number;
    ELSEWHERE: readonly (readonly number[])[];
    limitsOf(measurement: BenchMeasurement): readonly [number, number];
    elsewhere(
      scale: BenchScale,
      ofOutcome: (outcome: number) => number,
      nothing: number,
      share?: number,
    ): number;
    scaleOf(measurement: BenchMeasurement, meter: BenchMeter): BenchScale;
    outcomeWeights(scale: BenchScale, reading: BenchReading): { weights: number[]; nothing: number };
    classOf(scale: BenchScale, reading: BenchReading): number;
    classTable(scale: BenchScale): number[][];
    meaninglessClasses(scale: BenchScale, table: readonly (readonly number[])[]): number[];
  };
  cases: {
    isLive(family: BenchFamily, measurement: BenchMeasurement): boolean;
    /** What is expected of a measurement with a fault, stated or predicted: shares by outcome. */
    expectedReading(
      family: BenchFamily,
      fault: string,
      measure: string,
    ): Readonly<Record<string, number | undefined>> | null;
    caseOf(book: BenchBook, family: BenchFamily, revision: string, meter: string): BenchCase;
    ruledOut(one: BenchCase, tried: readonly string[]): Set<number>;
    spread(columns: BenchColumns, values: readonly number[]): number[];
    folded(columns: BenchColumns, weights: ArrayLike<number>): number[];
    foldedInto(
      columns: { extra: readonly number[] },
      weights: ArrayLike<number>,
      into: Float64Array,
    ): Float64Array;
    outcomeOf(family: BenchFamily, measure: string, name: string): BenchOutcome;
    setUpOf(family: BenchFamily, measure: string): BenchSetUp;
    placeOf(one: BenchCase, setUp: BenchSetUp): number;
    changeMinutes(book: BenchBook, family: BenchFamily, before: BenchSetUp, after: BenchSetUp): number;
    proofMeasures(family: BenchFamily, fault: BenchFault): string[];
    fixMinutes(book: BenchBook, family: BenchFamily, fault: BenchFault): number;
    partsMinutes(family: BenchFamily, fault: BenchFault): number;
  };
  posterior: {
    likelihoods(one: BenchCase, measure: string, reading: BenchReading): number[];
    meaningless(one: BenchCase, measure: string, reading: BenchReading): number;
    posterior(one: BenchCase, evidence: BenchEvidence): number[];
    ofHypotheses(one: BenchCase, weights: ArrayLike<number>): number[];
    joint(one: BenchCase, evidence: BenchEvidence): number[];
  };
  conflict: {
    contradictions(
      one: BenchCase,
      evidence: BenchEvidence,
      probabilities: readonly number[],
    ): BenchContradiction[];
    perhapsBoth(one: BenchCase, evidence: BenchEvidence): BenchBoth[];
  };
  lookahead: {
    lookAt(bench: BenchPlanBase, before?: readonly number[]): BenchLook;
    start(
      bench: BenchPlanBase,
      probabilities: readonly number[],
      measured: readonly string[],
      setUp: number,
      locks: {
        readonly closed: (measure: string) => boolean;
        readonly shut: (fault: string) => boolean;
        readonly any: boolean;
      },
      spoken: (fault: number) => boolean,
      railsFirst: boolean,
      unknown: boolean,
      symptoms: readonly string[],
    ): BenchPlace;
    /** How many actions ahead the page looks. */
    DEPTH: number;
    choices(look: BenchLook, place: BenchPlace, depth?: number): BenchChoice[];
    next(look: BenchLook, place: BenchPlace, depth?: number): BenchChoice[];
    measuredFirst(look: BenchLook, place: BenchPlace, measure: number): BenchChoice;
    withoutMeasuring(look: BenchLook, weights: Float64Array, locked: Uint8Array): number;
    afterOutcome(bench: BenchPlanBase, place: BenchPlace, measure: number, outcome: number): BenchPlace;
    afterFailedFix(bench: BenchPlanBase, place: BenchPlace, fault: number): BenchPlace;
    measureCost(bench: BenchPlanBase, setUp: number, measure: number): number;
  };
  interlock: {
    of(family: BenchFamily, measure: string, outcome: string): BenchInterlock | undefined;
    standing(readings: readonly BenchSeen[]): BenchStanding[];
    bars(found: readonly BenchStanding[], state: string): boolean;
    shuts(family: BenchFamily, lock: BenchInterlock, name: string, measure: string): boolean;
  };
  verdict: {
    judge(one: BenchCase, measure: string, reading: BenchReading): BenchVerdict;
    possible(one: BenchCase, measure: string, reading: BenchReading): number[];
  };
  assess: {
    assess(book: BenchBook, family: BenchFamily, job: BenchJob): BenchAssessment;
    judge(
      book: BenchBook,
      family: BenchFamily,
      revision: string,
      usual: string,
      taken: BenchTaken,
      entry: number,
      proof: string,
    ): BenchJudged;
    settles(
      assessment: BenchAssessment,
      measure: string,
    ): { outcome: string; probability: number; leader: number; share: number }[];
    reasons(
      assessment: BenchAssessment,
      index: number,
    ): { measure: string; reading: BenchReading; factor: number }[];
    clashes(one: BenchCase, evidence: BenchEvidence, probabilities: readonly number[]): string[];
    measuredAgain(
      one: BenchCase,
      evidence: BenchEvidence,
      contradictions: readonly BenchContradiction[],
      setUp: number,
    ): BenchChoice[];
    currentId(book: BenchBook, id: string): string;
    standsAt(
      one: BenchCase,
      taken: readonly {
        readonly measure: string;
        readonly reading: BenchReading | null;
        readonly seen: BenchCase;
      }[],
      triedLast: boolean,
    ): BenchSetUp;
    standing(
      taken: readonly Pick<BenchJudged, "entry" | "proof" | "measure" | "reading" | "seen">[],
    ): BenchSeen[];
    whose(assessment: BenchAssessment): [string, number][];
    mendsAlso(assessment: BenchAssessment, id: string): { index: number; p: number }[];
    begins(one: BenchCase, symptoms: readonly string[]): number[];
    placed(one: BenchCase, evidence: BenchEvidence, setUp: number): BenchPlace;
    takenFor(seen: BenchCase, measure: string, reading: BenchReading): BenchOutcome;
  };
  job: {
    FORMAT: string;
    VERSION: number;
    create(id: string, setup: Partial<BenchSetup>, started?: string): BenchJob;
    begin(job: BenchJob): BenchLog;
    present(log: BenchLog): BenchJob;
    at(log: BenchLog, count: number): BenchJob;
    take(log: BenchLog, step: BenchStep): BenchLog;
    canUndo(log: BenchLog): boolean;
    canRedo(log: BenchLog): boolean;
    undo(log: BenchLog): BenchLog;
    redo(log: BenchLog): BenchLog;
    outcome(job: BenchJob): { state: "open" | "proved" | "escalated"; fault: string };
    ruledOut(job: BenchJob): string[];
    triedLast(job: BenchJob): boolean;
    lastStands(log: BenchLog): boolean;
    told(job: BenchJob): boolean;
    ready(job: BenchJob): boolean;
    newId(now: number, random: () => number): string;
  };
  jobfile: {
    parse(text: string): BenchJob;
    check(data: unknown): BenchJob;
    checkLog(data: unknown): BenchLog;
    format(job: BenchJob): string;
  };
  address: {
    encode(job: BenchJob): string;
    decode(hash: string): BenchJob | null;
    same(one: BenchJob, other: BenchJob): boolean;
  };
  symptoms: {
    load(): Promise<void>;
    find(ids: readonly string[], typed: string): BenchFound;
  };
  keep: {
    save(log: BenchLog, time: string): Promise<"kept" | "failed" | "elsewhere">;
    settled(): Promise<unknown>;
    load(id: string): Promise<BenchKept | null>;
    list(): Promise<BenchKept[]>;
    remove(id: string): Promise<boolean>;
    current(): Promise<string>;
    defaults(): Promise<Partial<BenchSetup>>;
    remember(job: BenchJob): void;
    markRead(id: string): void;
    wasRead(id: string): boolean;
    changedElsewhere(id: string): Promise<boolean>;
  };
  sheet: {
    sheetOf(book: BenchBook, family: BenchFamily, job: BenchJob, assessment: BenchAssessment): BenchSheet;
    page(sheet: BenchSheet): HTMLElement;
    markdown(sheet: BenchSheet): string;
  };
  dom: {
    h<T extends keyof HTMLElementTagNameMap>(
      tag: T,
      properties?: BenchProperties | null,
      ...children: BenchChild[]
    ): HTMLElementTagNameMap[T];
    rich<T extends keyof HTMLElementTagNameMap>(
      tag: T,
      properties: BenchProperties | null,
      html: string,
    ): HTMLElementTagNameMap[T];
    plain(html: string): string;
    svg(tag: string, attributes: Record<string, string | number>, ...children: Element[]): Element;
    mark(status: string): Element;
    sign(): Element;
    button(
      label: string,
      press: () => void,
      more?: {
        key?: string;
        class?: string;
        name?: string;
        disabled?: boolean;
        id?: string;
        pressed?: boolean;
      },
    ): HTMLButtonElement;
    details(id: string, summary: BenchChild, fill: () => BenchChild, open?: boolean): HTMLDetailsElement;
    unfold(element: Element | null): void;
    renew(shown: ChildNode, fresh: ChildNode): void;
    renewWithin(parent: Element, fresh: readonly ChildNode[]): void;
    place(parent: Element, children: readonly Element[]): void;
    refusalOf(refusal: BenchRefusal | undefined, id: string, pick?: (choice: string) => void): HTMLElement;
    capital(text: string): string;
    local(element: HTMLElement): HTMLElement;
  };
  hazards: {
    bySeverity(book: BenchBook, ids: readonly string[]): readonly BenchHazard[];
    spoken(book: BenchBook, family: string, words: string): readonly string[];
    standing(family: BenchFamily): readonly string[];
    unread(page: BenchPage): boolean;
    above(page: BenchPage): string[];
    added(family: BenchFamily, ids: readonly string[]): readonly string[];
    ofWork(
      family: BenchFamily,
      fault: BenchFault,
    ): { readonly besides: readonly string[]; readonly all: readonly string[] };
    top(book: BenchBook, ids: readonly string[], beside?: readonly string[]): HTMLElement | null;
    lines(
      book: BenchBook,
      ids: readonly string[],
      met: readonly string[],
      shown?: Set<string>,
      said?: readonly string[],
    ): HTMLElement | null;
    names(book: BenchBook, ids: readonly string[]): readonly HTMLElement[];
    brought(page: BenchPage): readonly string[];
    before(page: BenchPage): HTMLElement | null;
  };
  parts: {
    setUp(family: BenchFamily, stands: BenchSetUp, needs: BenchSetUp, folded?: boolean): HTMLElement | null;
    part(family: BenchFamily, id: string): HTMLElement;
    parts(family: BenchFamily, ids: readonly string[]): BenchChild;
    meter(book: BenchBook, measurement: BenchMeasurement, hazards?: BenchChild): HTMLElement;
    where(
      family: BenchFamily,
      revision: string,
      measurement: BenchMeasurement,
      drawn?: Set<string>,
    ): HTMLElement | null;
    wherePart(family: BenchFamily, revision: string, part: string, drawn: Set<string>): HTMLElement | null;
    placeInWords(family: BenchFamily, revision: string, part: string): HTMLElement | null;
    pointInWords(family: BenchFamily, revision: string, id: string): HTMLElement | null;
    isFelt(measurement: BenchMeasurement): boolean;
    strip(measurement: BenchMeasurement, reading: BenchReading, spread: number): HTMLElement | null;
    outcome(outcome: BenchOutcome): HTMLElement;
    symptomAfter(entry: BenchFixEntry): string;
    NAMELESS: string;
    complaints(book: BenchBook, job: BenchJob): string[];
    done(fault: BenchFault): string;
    stop(page: BenchPage): HTMLElement | null;
    until(page: BenchPage, lock: BenchInterlock): string;
    means(outcome: BenchOutcome): BenchChild;
    STOP: string;
    nameOf(family: BenchFamily, id: string): string;
    symptomNotes(page: BenchPage): HTMLElement[];
    outOf(unplugged: readonly string[]): string;
    shown(measurement: BenchMeasurement, reading: BenchReading): string;
    asks(measurement: BenchMeasurement): string;
    answer(n: number, act: () => void, inside: BenchChild): HTMLElement;
  };
  field: {
    field(field: {
      id: string;
      unit: string;
      value: string;
      refused: boolean;
      by: string;
      act(text: string): void;
      next?(): boolean;
      trial?(text: string): void;
    }): HTMLElement[];
    keys(id: string, compares?: boolean): HTMLElement;
  };
  setupView: { render(page: BenchPage): HTMLElement };
  nextView: {
    render(page: BenchPage): HTMLElement;
    others(page: BenchPage): HTMLElement;
    bothOf(measurement: BenchMeasurement): string;
    chosenWord(page: BenchPage, usual: string): string;
    heldBack(page: BenchPage, id: string): string;
    takenWith(page: BenchPage): HTMLElement;
    titleOf(page: BenchPage, id: string): string;
    unitOf(measurement: BenchMeasurement): string;
  };
  fixView: {
    render(page: BenchPage, id: string): HTMLElement;
    closed(page: BenchPage): HTMLElement;
    unpower(page: BenchPage, begun?: boolean): BenchChild;
    proofForm(page: BenchPage, id: string, readings: BenchChild): HTMLElement;
    settles(page: BenchPage, id: string): BenchChild;
  };
  suspectView: {
    render(page: BenchPage, id: string, suspect: BenchSuspect): HTMLElement;
    why(page: BenchPage, id: string, suspect: BenchSuspect): BenchChild;
  };
  verdictView: {
    render(page: BenchPage): HTMLElement | null;
    say(page: BenchSnapshot, judged: BenchJudged): string;
    settled(page: BenchPage): boolean;
    short(page: BenchPage): HTMLElement | null;
    word(measurement: BenchMeasurement, verdict: BenchVerdict): string;
    statusOf(measurement: BenchMeasurement, verdict: BenchVerdict): string;
  };
  rankingView: { render(page: BenchPage): HTMLElement };
  historyView: { render(page: BenchPage): HTMLElement; noteRefusal(text: string): HTMLElement };
  dialogs: Record<"keys" | "list" | "jobs", (page: BenchPage) => HTMLDialogElement>;
  desk: {
    state: BenchDeskState;
    NO_FAMILY: BenchFamily;
    ownNames<T extends object>(data: T): T;
    freshUi(view: "setup" | "work", read?: boolean, opened?: number): BenchUi;
    freshId(): string;
    now(): string;
    snapshot(): BenchSnapshot;
    faultTitle(id: string): string;
    actionName(action: { kind: BenchKind; id: string }): string;
  };
  update: {
    take(step: BenchStep): void;
    changed(): void;
    compute(): void;
    keep(): void;
    withId(from: BenchLog, id: string): BenchLog;
    writeAddress(): void;
    replaceAddress(): void;
    toSetup(): void;
    saveJob(): void;
    fileName(job: BenchJob): string;
  };
  card(page: BenchPage): HTMLElement;
  render: {
    goTo(id: string): void;
    root: HTMLElement;
    page(): BenchPage;
    mount(acts: BenchActs): void;
    show(): void;
    showSheet(): void;
    showStep(): void;
    speak(words: string): void;
    message(id: string, text: string, label?: string, press?: () => void): void;
    dropMessage(id: string): void;
    download(name: string, text: string, type?: string): void;
  };
  prepare(family: BenchFamily): void;
  opening: {
    startNew(): Promise<void>;
    openLog(opened: BenchLog): Promise<void>;
    adopt(job: BenchJob, name: string): Promise<void>;
    openAddress(hash: string): Promise<boolean>;
    loadFamily(id: string): Promise<BenchFamily>;
    refresh(): Promise<void>;
  };
  acts: BenchActs;
  keys: { onKey(event: KeyboardEvent): void };
  bench: {
    /** Resolves once the page shows its first view. */
    ready: Promise<void>;
    /** The job that is open. */
    present(): BenchJob;
    /** The action that the card shows. */
    next(): BenchAction;
    /** Writes the address, and resolves once everything entered so far is kept. */
    settled(): Promise<unknown>;
  };
}
