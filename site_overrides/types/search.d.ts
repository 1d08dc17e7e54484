// Shapes of the search: the data that tools/benchlore/site/search/ writes, and what the scripts hand each other.

/** The compact index, as written by index.py. */
interface SearchIndexData {
  format: number;
  /** Stop words, parted by spaces. */
  stop: string;
  /** Id, title, path, weight. */
  kinds: [string, string, string, number][];
  /** Id, title. */
  families: [string, string][];
  /** Kind, family, count, kind, ... */
  runs: number[];
  keys: string;
  titles: string;
  details: string;
  words: string;
  postings: string;
}

interface SearchResult {
  /** Of the document in the index. */
  number: number;
  kind: string;
  /** The kind in words. */
  label: string;
  /** Title of the family; may be empty. */
  family: string;
  title: string;
  detail: string;
  /** From the site's root. */
  path: string;
  score: number;
}

interface SearchOptions {
  /** Id of a family: only its documents, and those of no family. */
  family?: string;
  limit?: number;
}

interface SearchEngine {
  find(text: string, options?: SearchOptions): SearchResult[];
  result(number: number, score?: number): SearchResult;
  families: [string, string][];
}

/** Name, low, high, normal, what it means, faults (document, probability, document, ...). */
type OutcomeRow = [string, number | "open" | null, number | null, 0 | 1, string, number[]];

/** Family, id, net, test point, mode, unit, bench state, what is unplugged, outcomes. */
type MeasurementRow = [number, string, string, string, string, string, string, string, OutcomeRow[]];

/** What readings can mean, as written by readings.py. */
interface ReadingData {
  format: number;
  measurements: MeasurementRow[];
}

interface TypedReading {
  /** Ends in the base unit; Infinity for over-range, NaN where it is asked back. */
  low: number;
  high: number;
  /** Base unit; empty when none was typed. */
  unit: string;
  /** As people write it. */
  shown: string;
  /** The rest of the text. */
  where: string;
  /** What is asked back, and what to type; else empty. */
  asks: string;
}

interface SearchReadingResult {
  title: string;
  detail: string;
  family: string;
  path: string;
  /** False: it lies between outcomes. */
  fits: boolean;
  normal: boolean;
  /** True when the text names a net or a point of it. */
  named: boolean;
  /** Documents of the index, likeliest first. */
  faults: { number: number; probability: number }[];
}

interface SearchReadings {
  find(text: string, options?: SearchOptions): SearchReadingResult[];
}

interface Benchlore {
  searchIndex?: SearchIndexData;
  searchReadings?: ReadingData;
  searchEngine?: {
    words(text: string): string[][];
    isNear(typed: string, word: string, beginning: boolean): boolean;
    open(data: SearchIndexData): SearchEngine;
  };
  searchReading?: {
    parse(text: string): TypedReading | null;
    open(data: ReadingData, engine: SearchEngine): SearchReadings;
  };
  /** `ready` loads the index; `open` puts the cursor into the box. */
  search?: { ready(): Promise<SearchEngine>; open(): void };
}
