// What store.js and site.js add to the one global object on every page.

interface SiteStore {
  get(key: string): Promise<any>;
  set(key: string, value: unknown): Promise<boolean>;
  remove(key: string): Promise<boolean>;
  keys(start?: string): Promise<string[]>;
  /** Why the last failure happened, or nothing. */
  trouble(): string;
}

/** What is kept under one id, with what its keeper adds: the turn counts its changes. */
interface KeptRecord {
  readonly turn: number;
  readonly [field: string]: any;
}

/**
 * What became of a record: kept, failed (the store says why), or elsewhere: another window has changed it meanwhile,
 * and nothing was written over that.
 */
interface KeptHow {
  readonly how: "kept" | "failed" | "elsewhere";
  readonly record: KeptRecord;
}

interface Keeper {
  save(id: string, content: object): Promise<KeptHow>;
  /** What is kept under an id, in the store or not yet written; null where there is nothing. */
  newest(id: string): Promise<unknown>;
  /** This page has read a record of this turn. */
  seen(id: string, turn: number): void;
  /** Write what an earlier page of this tab did not get to write. */
  recover(): Promise<KeptHow & { readonly id: string }>[];
  changedElsewhere(id: string): Promise<boolean>;
  ids(): Promise<string[]>;
  idsInTab(): string[];
  remove(id: string): Promise<boolean>;
  /** Do something after all that was asked so far. */
  then<T>(task: () => Promise<T>): Promise<T>;
  /** Resolves when all that was asked so far is done. */
  settled(): Promise<unknown>;
}

interface Records {
  keeper(start: string, join?: (id: string, mine: KeptRecord, there: KeptRecord) => object | null): Keeper;
  inTab<T>(use: (tab: Storage) => T): T | null;
  isRecord(data: unknown): data is KeptRecord;
}

/** A JSON Schema, or a part of one. */
type FormSchema = Readonly<Record<string, any>>;

/** The way to a value: names of fields, and places in lists from 0. */
type FormPlace = readonly (string | number)[];

interface FormFound {
  readonly where: FormPlace;
  /** The keyword of the schema that is not met, and what it demands. */
  readonly keyword: string;
  readonly demand: any;
  /** Where and what, in words. */
  readonly says: string;
}

interface Benchlore {
  /** The schemas of what this site saves to files. */
  forms?: { readonly job: FormSchema; readonly progress: FormSchema };
  form?: {
    check(schema: FormSchema, value: unknown, what: string, where?: string, root?: FormSchema): void;
    read(schema: FormSchema, text: string, told: { what: string; name: string; limit: number }): any;
    findings(schema: FormSchema, value: unknown): FormFound[];
    /** Give a text to be saved as a file; JSON, where no other media type is named. */
    download(name: string, text: string, type?: string): void;
  };
  store?: SiteStore;
  records?: Records;
  site?: {
    /** The family that the reader filters by, or nothing. */
    family(): string;
    /** The revision chosen for this page's family, or nothing. */
    revision(): string;
    /** The way from this page to the site's root. */
    base(): string;
  };
}
