// What store.js and site.js add to the one global object on every page.

interface SiteStore {
  get(key: string): Promise<any>;
  set(key: string, value: unknown): Promise<boolean>;
  remove(key: string): Promise<boolean>;
  keys(start?: string): Promise<string[]>;
  /** Why the last failure happened, or nothing. */
  trouble(): string;
}

/** A JSON Schema, or a part of one. */
type FormSchema = Readonly<Record<string, any>>;

interface Benchlore {
  /** The schemas of what this site saves to files. */
  forms?: { readonly job: FormSchema; readonly progress: FormSchema };
  form?: {
    check(schema: FormSchema, value: unknown, what: string, where?: string, root?: FormSchema): void;
    read(schema: FormSchema, text: string, told: { what: string; name: string; limit: number }): any;
  };
  store?: SiteStore;
  site?: {
    /** The family that the reader filters by, or nothing. */
    family(): string;
    /** The revision chosen for this page's family, or nothing. */
    revision(): string;
    /** The way from this page to the site's root. */
    base(): string;
  };
}
