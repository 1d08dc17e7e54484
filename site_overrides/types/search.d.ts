// What the scripts of the search hand each other; `SearchIndexData` and `SearchReadingData` are made from Python.

interface SearchResult {
  /** Of the document in the index. */
  number: number;
  kind: string;
  /** The kind in words. */
  label: string;
  /** Title of the family; may be empty. */
  family: string;
  /** Of the record on its page: `MAIN`, `MAIN#F1`. */
  key: string;
  title: string;
  detail: string;
  /** From the site's root. */
  path: string;
  score: number;
  /** Of what was said, where it is another than the book's; else empty. */
  language: string;
}

interface SearchOptions {
  /** Id of a family: only its documents, and those of no family. */
  family?: string;
  limit?: number;
  /** Id of a kind of documents: only these. */
  kind?: string;
  /** Only documents with one of these keys. */
  keys?: readonly string[] | null;
  /** Another text that says the same. */
  also?: string;
}

/** What the search box has to say to a text. */
interface SearchAnswered {
  /** Hazards that it speaks of: they stand first. */
  dangers: SearchResult[];
  meanings: SearchReadingResult[];
  /** True when it names the net or the point of its reading. */
  named: boolean;
  results: SearchResult[];
  /** False: it is not in the book, and the results are merely near. */
  known: boolean;
  /** What is asked back of a reading; else empty. */
  asks: string;
}

interface SearchEngine {
  find(text: string, options?: SearchOptions): SearchResult[];
  answer(text: string, options?: SearchOptions): { results: SearchResult[]; known: boolean };
  dangers(text: string, family?: string): SearchResult[];
  /** The text in the records' words, once for each meaning. */
  otherwise(text: string): string[];
  /** True for a word that the book has. */
  knows(word: string): boolean;
  /** False for a word that tells nothing of what is sought. */
  tells(word: string): boolean;
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
  /** What a job that starts from it begins with. */
  job: SearchJob;
  /** Documents of the index, likeliest first. */
  faults: { number: number; probability: number }[];
}

/** A reading as a job's first entry. */
interface SearchJob {
  familyId: string;
  measure: string;
  typed: string;
}

interface SearchReadings {
  find(text: string, options?: SearchOptions): SearchReadingResult[];
}

interface Benchlore {
  personal?: {
    find(text: string): { text: string; at: number; looksLike: string } | null;
    refusal(text: string): string;
  };
  searchIndex?: SearchIndexData;
  searchReadings?: SearchReadingData;
  searchEngine?: {
    words(text: string): string[][];
    isNear(typed: string, word: string, beginning: boolean): boolean;
    speaksOf(text: string, said: readonly string[]): boolean;
    address(path: string, family: string, page: string, key: string): string;
    open(data: SearchIndexData, language?: string): SearchEngine;
  };
  searchReading?: {
    parse(text: string): TypedReading | null;
    open(data: SearchReadingData, engine: SearchEngine): SearchReadings;
  };
  searchAnswer?: {
    find(
      text: string,
      engine: SearchEngine,
      readings: SearchReadings | null,
      options: SearchOptions,
    ): SearchAnswered;
    symptoms(
      text: string,
      engine: SearchEngine,
      ids: readonly string[],
    ): { ids: string[]; phrases: string[]; languages: string[]; known: boolean };
  };
  /** `ready` loads the index; `open` puts the cursor into the box. */
  search?: { ready(): Promise<SearchEngine>; open(): void };
}
