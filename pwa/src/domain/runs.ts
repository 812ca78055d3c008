/** Pipe and cable runs: lengths, and the runs that the job needs and does not have yet. */
import { plainNumber, withUnit } from './check.ts';
import { kindOf, model, withDefaults, type Expectation, type Row, type Value } from './model.ts';
import type { Survey } from './survey.ts';

export interface RunLength {
  /** Of the stretches with a length, m, in tenths. */
  known_m: number;
  /** Stretches without a length: the run is longer than `known_m`. */
  without: number;
  stretches: number;
}

export function runLength(stretches: Value | undefined): RunLength {
  const rows: Row[] = Array.isArray(stretches) ? stretches : [];
  const lengths = rows.map((row) => row['length_m']).filter((value): value is number => typeof value === 'number');
  return {
    known_m: Math.round(lengths.reduce((all, value) => all + Math.round(value * 1000), 0) / 100) / 10,
    without: rows.length - lengths.length,
    stretches: rows.length,
  };
}

export function lengthWords(length: RunLength): string {
  if (length.stretches === 0) return 'no route yet';
  const known = withUnit(plainNumber(length.known_m, 1), 'm');
  if (length.without === 0) return known;
  return `${known} and ${length.without === 1 ? 'a stretch' : `${length.without} stretches`} without a length`;
}

/** What the job needs of a kind and the survey does not have: each with the first answers of the record that would be it. */
export function missingRuns(survey: Survey, kindName: string): Expectation[] {
  const kind = kindOf(kindName);
  return model.expectations.filter(
    (expected) =>
      expected.kind === kindName &&
      expected.per === null &&
      Object.keys(expected.where).length > 0 &&
      survey.ofKind(kindName).filter((record) => {
        const values = withDefaults(kind, record.values);
        return Object.entries(expected.where).every(([name, wanted]) => values[name] === wanted);
      }).length < expected.at_least,
  );
}
