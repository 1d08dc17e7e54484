/*
 * Types of the vocabulary and of typed values, for the type check only; no page loads this file.
 * The vocabulary mirrors tools/benchlore/site/vocabulary_data.py.
 */

interface VocabularyFunction {
  /** At the head of a table, and within a sentence. */
  readonly label: string;
  readonly phrase: string;
  readonly unit: string | null;
  readonly power: "on" | "off" | "either";
  readonly current: "dc" | "ac" | "";
  readonly signed: boolean;
  /** Null: without an end. */
  readonly least: number | null;
  readonly most: number | null;
  readonly over_range: boolean;
  readonly turned: string;
  readonly instead: Readonly<Record<string, string | undefined>>;
}

interface TypedUnit {
  /** `a voltage`. */
  readonly measures: string;
  readonly sign: string;
  readonly words: readonly string[];
  readonly prefixed: boolean;
  /** Factor and offset by the word that is typed. */
  readonly others: Readonly<Record<string, readonly [number, number]>>;
}

interface Vocabulary {
  readonly functions: Readonly<Record<string, VocabularyFunction>>;
  readonly units: Readonly<Record<string, TypedUnit | undefined>>;
  readonly prefixes: Readonly<Record<string, number | undefined>>;
  readonly prefix_words: Readonly<Record<string, string | undefined>>;
  readonly over_range: readonly string[];
  /** The gravest first. */
  readonly signals: readonly string[];
  /** Ways to study; `kinds`: the kinds of cards that it asks, `cards`: how many a session has. */
  readonly exercises: Readonly<Record<string, VocabularyExercise>>;
}

interface VocabularyExercise {
  readonly title: string;
  readonly what: string;
  readonly kinds: readonly string[];
  readonly cards: number;
}

interface TypedValue {
  /** Ends in the base unit; the same where one value was typed. */
  readonly low: number;
  readonly high: number;
  /** Null where two ends were typed. */
  readonly nominal: number | null;
  readonly unit: string;
  /** As typed, with a decimal point. */
  readonly number: string;
  readonly prefix: string;
  /** Neither unit nor prefix was typed. */
  readonly bare: boolean;
  /** `ac` or `dc` where that was typed. */
  readonly current: string;
}

interface TypedRefusal extends Error {
  readonly reason: string;
  readonly mend: string;
  readonly choices: readonly string[];
}

interface TypedParts {
  typed(text: string, unit?: string): TypedValue;
  attempt<T>(work: () => T): T | TypedRefusal;
  clean(text: string): string;
  isOverRange(text: string, unit?: string): boolean;
  scaled(number: string, power: number): number;
  readonly TypedError: new (reason: string, mend: string, choices?: readonly string[]) => TypedRefusal;
  readonly LONGEST: number;
}

interface TypedScripts {
  readonly vocabulary: Vocabulary;
  typed: TypedParts;
}
