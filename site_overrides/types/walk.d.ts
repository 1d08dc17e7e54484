/*
 * Types of the scripts of a walk, for the type check only; the page does not load this file. The form of a saved walk is
 * schema/walk.schema.json.
 */

interface WalkPoint {
  readonly id: string;
  readonly net: string;
  readonly at: string;
  readonly mode: string;
  readonly state: string;
  readonly where: string;
}

interface WalkTaken {
  readonly measure: string;
  readonly meter: string;
  /** As typed; empty for a point that was left out. */
  readonly text: string;
  readonly at: string;
}

interface WalkRecord {
  readonly format: string;
  readonly version: number;
  readonly id: string;
  readonly title: string;
  readonly family: string;
  readonly revision: string;
  readonly label: string;
  readonly meter: string;
  readonly started: string;
  readonly points: readonly WalkPoint[];
  readonly readings: readonly WalkTaken[];
}

/** How the bench stands, and what is read while it does. */
interface WalkStop {
  readonly state: string;
  readonly unplugged: readonly string[];
  readonly minutes: number;
  readonly measures: readonly string[];
}

interface WalkStep {
  readonly measure: string;
  readonly setUp: BenchSetUp;
  readonly minutes: number;
}

/** A reading with the half width of the meter's accuracy limits there. */
interface WalkShown {
  readonly reading: BenchReading;
  readonly meter: BenchMeter;
  readonly limit: number;
}

interface WalkRange {
  readonly low: number;
  readonly high: number;
  /** Between the boards; null of one board. */
  readonly spread: number | null;
  readonly limit: number;
}

interface WalkJudged {
  readonly verdict: "agrees" | "edge" | "differs";
  readonly off: number;
}

interface WalkRow {
  readonly measure: string;
  /** One a board. */
  readonly shown: readonly (WalkShown | null)[];
  readonly judged: WalkJudged | null;
  readonly verdict: string;
  readonly range: WalkRange | null;
}

interface WalkUi {
  /** Whether the standing hazards were read. */
  read: boolean;
  /** The walk that is asked about before it is removed. */
  asking: string;
  refusals: Record<string, BenchRefusal | undefined>;
  drafts: Record<string, string | undefined>;
}

interface WalkActs {
  draft(key: string, text: string): void;
  begin(): void;
  open(id: string): void;
  addPoint(): void;
  dropPoint(id: string): void;
  points(): void;
  go(): void;
  enter(measure: string, text: string): void;
  skip(measure: string): void;
  again(measure: string): void;
  takeBack(measure: string): void;
  back(): void;
  end(): void;
  leave(): void;
  nextBoard(): void;
  read(): void;
  ask(id: string): void;
  remove(id: string): void;
  save(id: string): void;
  load(input: HTMLInputElement): void;
  print(): void;
  dismiss(): void;
}

interface WalkPage {
  readonly book: BenchBook;
  readonly family: BenchFamily;
  readonly boards: readonly WalkRecord[];
  readonly met: readonly string[];
  readonly ui: WalkUi;
  readonly act: WalkActs;
  readonly locks: readonly BenchStanding[];
  readonly stands: BenchSetUp;
  /** Points of the family, and the minutes that they take. */
  readonly all: number;
  readonly minutes: number;
}

interface WalkParts {
  file: {
    parse(text: string): WalkRecord;
    check(data: unknown): WalkRecord;
    whole(walk: Partial<WalkRecord>): WalkRecord;
    format(walk: WalkRecord): string;
  };
  route: {
    familyOf(walk: WalkRecord | null): BenchFamily;
    steps(walk: WalkRecord): WalkStep[];
    taken(walk: WalkRecord): Map<string, WalkTaken>;
    next(walk: WalkRecord): WalkStep | undefined;
    stands(walk: WalkRecord, since: number): BenchSetUp;
    locksOf(walk: WalkRecord, readings: readonly WalkTaken[]): BenchStanding[];
    minutesLeft(walk: WalkRecord): number;
  };
  compare: {
    show(
      measurement: BenchMeasurement,
      meter: BenchMeter | undefined,
      text: string,
    ): WalkShown | BenchRefusal;
    isShown(found: WalkShown | BenchRefusal): found is WalkShown;
    rangeOf(measurement: BenchMeasurement, boards: readonly WalkShown[]): WalkRange | null;
    judge(measurement: BenchMeasurement, one: WalkShown): WalkJudged;
    outcomeOf(measurement: BenchMeasurement, one: WalkShown): BenchOutcome | undefined;
  };
  keep: {
    save(walk: WalkRecord, time: string): Promise<KeptHow["how"]>;
    list(family: string): Promise<{ walks: WalkRecord[]; damage: string[] }>;
    remove(id: string): Promise<boolean>;
    settled(): Promise<unknown>;
  };
  beginView: { render(page: WalkPage): HTMLElement; nameOf(walk: WalkRecord): string };
  pointsView: { render(page: WalkPage, walk: WalkRecord): HTMLElement };
  stepView: {
    render(page: WalkPage, walk: WalkRecord, step: WalkStep): HTMLElement;
    titleOf(page: WalkPage, id: string): string;
    judged(page: WalkPage, measurement: BenchMeasurement, taken: WalkTaken): BenchChild;
    verdict(measurement: BenchMeasurement, judged: WalkJudged): BenchChild;
  };
  tableView: { render(page: WalkPage, walk: WalkRecord): HTMLElement };
  page: { ready: Promise<void>; settled(): Promise<unknown> };
}

interface WalkScripts extends BenchScripts {
  walks: WalkParts;
  /** Of the page of a family; not on the page for boards without records. */
  walkStops?: { readonly family: string; readonly stops: readonly WalkStop[] };
  walkBook: {
    readonly form: FormSchema;
    readonly order: readonly string[];
    readonly states: Readonly<Record<string, BenchState | undefined>>;
    /** How the leads go, by function; empty where it goes without saying. */
    readonly leads: Readonly<Record<string, string | undefined>>;
  };
}
