/**
 * What the ways over from older apps read and write of the store's rows.
 *
 * The store itself leans on them when it is opened, so they know no more of a row than this; the rest goes through as it is.
 */
import type { Table, Transaction } from 'dexie';
import type { Values } from '../domain/model.ts';

export interface StoredRecord {
  key: string;
  survey: string;
  kind: string;
  id: string;
  values: Values;
  seen: Record<string, number>;
}

interface WithEdits {
  edits: number;
}

export interface StoredSurvey extends WithEdits {
  cursor: number;
}

/** A table of the store inside a transaction. */
export const tableIn =
  (transaction: Transaction) =>
  <T>(name: string): Table<T, string> =>
    transaction.table(name) as Table<T, string>;

/**
 * Have a survey pulled once more from the beginning after its records went over.
 *
 * Where they changed, the journal sees by the number that it is behind, and is written anew. What was worked out of the survey stays as it was.
 */
export async function pullAnew(
  table: ReturnType<typeof tableIn>,
  survey: string,
  row: StoredSurvey,
  isChanged: boolean,
): Promise<void> {
  const edits = isChanged ? row.edits + 1 : row.edits;
  await table<StoredSurvey>('surveys').put({ ...row, edits, cursor: 0 });
  for (const name of ['assessments', 'live']) {
    const known = await table<WithEdits>(name).get(survey);
    if (known?.edits === row.edits) await table<WithEdits>(name).put({ ...known, edits });
  }
}
