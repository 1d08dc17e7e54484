/*
 * Types of the form for a fault pattern, for the type check only; no page loads this file. The types of the data
 * (`WriteBook`, `WriteFamily` and what they hold) are made by tools/benchlore/site/script_types.py.
 */

/** A record, or a part of one, as its file has it; what it holds is checked by its schema. */
type WriteRecord = Record<string, any>;
type WriteStep = string | number;
/** The share of each outcome. */
type WriteRow = Readonly<Record<string, number | undefined>>;

interface WriteDraft {
  readonly id: string;
  readonly family: string;
  /** Of the file, without its ending. */
  readonly name: string;
  /** The record of the book that is changed, or nothing. */
  readonly before: string;
  readonly record: WriteRecord;
  /** Of the last change, ISO 8601. */
  readonly time: string;
}

interface WriteContext {
  readonly book: BenchBook;
  readonly family: BenchFamily;
  readonly own: WriteFamily;
}

/** The draft that is open, and what can be done with it. */
interface WriteDesk extends WriteContext {
  draft: WriteDraft;
  /** What stands in the fields by which one chooses. */
  readonly typed: Record<string, string>;
  /** The file was to be saved: from then on what is empty is said beside its field, too. */
  tried: boolean;
  /** Change what stands at a place; `redraw` where fields come or go, and then where the focus goes. */
  set(where: FormPlace, value: unknown, redraw?: boolean, focus?: string): void;
  name(text: string): void;
  save(): void;
  goTo(where: FormPlace): void;
  result(): WriteResult;
}

interface WriteFinding {
  /** Wrong, still to be filled in, or worth a look. */
  readonly kind: "wrong" | "todo" | "note";
  readonly where: FormPlace;
  readonly why: string;
  readonly mend: string;
  /** The rule of `benchlore check` that would say so. */
  readonly rule: string;
}

type WriteSay = (
  kind: WriteFinding["kind"],
  where: FormPlace,
  why: string,
  mend: string,
  rule: string,
) => void;

interface WriteResult {
  readonly record: WriteRecord;
  readonly findings: readonly WriteFinding[];
}

interface WriteOption {
  readonly id: string;
  readonly title: string;
  /** People know it by its id, too. */
  readonly titled?: boolean;
  readonly aside?: string;
}

interface WriteStepRead {
  readonly verbs: readonly string[];
  readonly verb: string;
  readonly names: readonly string[];
  readonly uses: readonly WriteRecord[];
  readonly say: string;
  readonly raw: WriteRecord;
}

interface WriteBoard {
  readonly sources: readonly string[];
  readonly charged: boolean;
  readonly wet: boolean;
  readonly off: readonly string[];
}

/** A record as a fault of the bench. */
interface WriteFault {
  readonly fault: BenchFault;
  readonly seen: number;
  readonly revisions: readonly string[];
  readonly rows: Readonly<Record<string, WriteRow | undefined>>;
  readonly hot: boolean;
}

interface WriteEffect {
  readonly symptoms: readonly string[];
  /** Without the record, then with it: before any reading, and after those of the worked example. */
  readonly before: readonly BenchAssessment[];
  readonly after: readonly BenchAssessment[];
  readonly family: BenchFamily;
}

interface WriteScripts extends BenchScripts {
  readonly writeBook: WriteBook;
  readonly writeForm: FormSchema;
  writeFamilies: Record<string, WriteFamily>;
  writeRecords: Record<string, Record<string, string>>;
  yaml: { write(kind: string, data: WriteRecord): string; read(text: string): WriteRecord };
  short: {
    inFull(context: WriteContext, record: WriteRecord): WriteRecord;
    shortened(context: WriteContext, record: WriteRecord): WriteRecord;
    opening(context: WriteContext): WriteRecord[];
  };
  record: {
    get(record: any, path: FormPlace): any;
    set(record: any, path: FormPlace, value: unknown): any;
    whole(schema: FormSchema, record: WriteRecord, items?: boolean): WriteRecord;
    branch(schema: FormSchema): FormSchema;
    schemaAt(where: FormPlace): FormSchema;
    nameOf(title: string): string;
    nameTrouble(name: string, taken: readonly string[], before: string): { why: string; mend: string } | null;
    fromJob(job: BenchJob, family: BenchFamily): WriteRecord;
  };
  circuit: {
    foretold(own: WriteFamily, cause: any): { rows: Record<string, WriteRow>; about: boolean } | null;
    telling(family: BenchFamily, rows: Record<string, WriteRow>, nets: readonly string[]): string[];
    oddness(family: BenchFamily, measure: string, row: WriteRow): number;
    said(family: BenchFamily, measure: string, row: WriteRow): string;
    stated(own: WriteFamily, record: WriteRecord, measure: string): WriteRow | null;
    reads(own: WriteFamily, record: WriteRecord): Record<string, WriteRow>;
  };
  work: {
    readStep(step: any): WriteStepRead;
    stepsOf(record: WriteRecord): WriteStepRead[];
    fitted(record: WriteRecord): WriteRecord[];
    walked(
      context: WriteContext,
      record: WriteRecord,
    ): { steps: { step: WriteStepRead; before: WriteBoard }[]; end: WriteBoard };
    wets(step: { verb: string; raw: any }): boolean;
    hotOrWet(words: string): boolean;
    soldered(own: WriteFamily, step: WriteStepRead): string[];
    ofAdapter(own: WriteFamily, step: WriteStepRead): boolean;
    sentence(context: WriteContext, step: any): string;
    hazards(context: WriteContext, record: WriteRecord): { id: string; why: string }[];
    asked(context: WriteContext, id: string): string;
  };
  effect: {
    familyWith(context: WriteContext, more: WriteFault | null): BenchFamily;
    faultOf(context: WriteContext, name: string, record: WriteRecord): WriteFault | null;
    effect(context: WriteContext, more: WriteFault, record: WriteRecord): WriteEffect;
    alike(one: BenchCase, more: WriteFault, record: WriteRecord): string[];
  };
  labels: {
    label(where: FormPlace): string;
    place(where: FormPlace): string;
    hint(where: FormPlace, schema: FormSchema): string;
    what(schema: FormSchema): string;
    isProse(schema: FormSchema): boolean;
    example(schema: FormSchema): string;
    key(where: FormPlace): string;
  };
  findings: {
    /** The rules of `check` that this page works out itself. */
    readonly KNOWN: readonly string[];
    findings(context: WriteContext, draft: WriteDraft, record: WriteRecord): WriteFinding[];
    /** The label of what has a shape that no form shows; or nothing. */
    misshapen(record: WriteRecord): string;
  };
  drafts: {
    save(draft: WriteDraft): Promise<KeptHow["how"]>;
    load(id: string): Promise<WriteDraft | null>;
    list(): Promise<WriteDraft[]>;
    current(): Promise<WriteDraft | null>;
    leave(): void;
    remove(id: string): Promise<boolean>;
    settled(): Promise<unknown>;
    newId(): string;
  };
  options: {
    of(desk: WriteDesk, where: FormPlace): WriteOption[] | null;
    parts(desk: WriteDesk, wanted?: (id: string) => boolean): WriteOption[];
    nets(desk: WriteDesk, own?: readonly string[]): WriteOption[];
    measurements(desk: WriteDesk): WriteOption[];
    measurement(desk: WriteDesk, id: string): WriteOption;
    places(context: WriteContext, verb: string): string[] | null;
    word(where: FormPlace, id: string): string;
  };
  fields: {
    idOf(where: FormPlace, what?: string): string;
    place(
      where: FormPlace,
      schema: FormSchema,
      control: BenchChild,
      more?: { group?: boolean; label?: string; hint?: string; optional?: boolean },
    ): HTMLElement;
    describedBy(where: FormPlace, hint?: boolean): string;
    field(desk: WriteDesk, where: WriteStep[], schema: FormSchema, required?: boolean): HTMLElement;
    inside(
      desk: WriteDesk,
      where: WriteStep[],
      schema: FormSchema,
      without?: readonly string[],
    ): readonly HTMLElement[];
    simple(desk: WriteDesk, where: WriteStep[], schema: FormSchema): HTMLElement;
    pick(
      desk: WriteDesk,
      id: string,
      options: readonly WriteOption[],
      label: string,
      take: (id: string) => void,
      more?: {
        placeholder?: string;
        find?: (typed: string) => WriteOption[] | null;
        load?: () => Promise<void>;
      },
    ): HTMLElement;
    choice(
      base: BenchProperties,
      options: readonly WriteOption[],
      value: unknown,
      act: (id: string) => void,
      none?: string,
    ): HTMLElement;
    chip(options: readonly WriteOption[], id: string, drop: () => void): HTMLElement;
    typed(event: Event): string;
  };
  stepsView: { view(desk: WriteDesk): BenchChild };
  sections: {
    render(desk: WriteDesk): HTMLElement[];
    order(): string[];
    hazardsFound(desk: WriteDesk, record: WriteRecord): BenchChild;
    takenFor(desk: WriteDesk, id: string, typed: string): string;
  };
  result: {
    render(desk: WriteDesk): HTMLElement;
    refresh(desk: WriteDesk, result: WriteResult): void;
    fill(id: string, content: BenchChild): void;
    savedNote(desk: WriteDesk, findings: readonly WriteFinding[]): BenchChild;
  };
}
