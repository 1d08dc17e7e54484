// What store.js and site.js add to the one global object on every page.

interface SiteStore {
  get(key: string): Promise<any>;
  set(key: string, value: unknown): Promise<boolean>;
  remove(key: string): Promise<boolean>;
  keys(start?: string): Promise<string[]>;
  /** Why the last failure happened, or nothing. */
  trouble(): string;
}

interface Benchlore {
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
