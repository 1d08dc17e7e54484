// What the scripts of the search hand each other; `SearchIndexData` and `SearchReadingData` are made from Python.

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
  families: SearchIndexData["families"];
}

type MeasurementRow = SearchReadingData["measurements"][number];
type OutcomeRow = MeasurementRow[8][number];

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
  searchReadings?: SearchReadingData;
  searchEngine?: {
    words(text: string): string[][];
    isNear(typed: string, word: string, beginning: boolean): boolean;
    address(path: string, family: string, page: string, key: string): string;
    open(data: SearchIndexData): SearchEngine;
  };
  searchReading?: {
    parse(text: string): TypedReading | null;
    open(data: SearchReadingData, engine: SearchEngine): SearchReadings;
  };
  /** `ready` loads the index; `open` puts the cursor into the box. */
  search?: { ready(): Promise<SearchEngine>; open(): void };
}
