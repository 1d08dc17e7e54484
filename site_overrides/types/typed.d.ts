/*
 * Types of typed values, for the type check only; no page loads this file. Those of the vocabulary
 * (`VocabularyTables` and what it holds) are made by tools/benchlore/site/script_types.py.
 */

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
  readonly vocabulary: VocabularyTables;
  typed: TypedParts;
}
