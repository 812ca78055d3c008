/** Unsent work of somebody who has signed out: kept, locked to its person, and put back when that person signs in here again. */
import type { Transaction } from 'dexie';
import { pathOf, type Change } from '../domain/changes.ts';
import { newId } from '../domain/ids.ts';
import { database, dropMeta, putMeta, readMeta, type LockedRow, type RecordRow } from './database.ts';
import { takeOverSizes } from './old_sizes.ts';
import { takeOverUnits } from './old_units.ts';
import { countHeld, emptySurvey, recordKey, type HeldCounts } from './rows.ts';

/** What a survey lacks at the office, as it is put away; null when that is nothing. */
async function heldOf(survey: string, email: string): Promise<LockedRow | null> {
  const [row, changes, refused, photos, epoch] = await Promise.all([
    database.surveys.get(survey),
    database.outbox.where('survey').equals(survey).sortBy('id'),
    database.refused.where('survey').equals(survey).toArray(),
    database.photos
      .where('survey')
      .equals(survey)
      .filter((photo) => photo.arrived === 0)
      .toArray(),
    readMeta('epoch'),
  ]);
  if (changes.length + refused.length + photos.length === 0) return null;
  const { born = '', created_at, edits } = row ?? emptySurvey(survey);
  return {
    key: `${email}/${survey}`,
    email,
    survey,
    born,
    created_at,
    edits,
    epoch: epoch ?? null,
    changes,
    refused,
    photos,
    hashes: photos.map((photo) => photo.sha256),
  };
}

/** Put away what is on this phone only. Inside a transaction over all tables. */
export async function lockHeld(email: string): Promise<void> {
  const surveys = new Set<string>();
  for (const table of [database.outbox, database.refused])
    for (const survey of await table.orderBy('survey').uniqueKeys()) surveys.add(String(survey));
  for (const photo of await database.photos.where('arrived').equals(0).toArray()) surveys.add(photo.survey);
  for (const survey of surveys) {
    const held = await heldOf(survey, email);
    if (held) await database.locked.put(held);
  }
}

/** Take everything of a person's off this phone but what is locked. Inside a transaction over all tables. */
export async function clearAll(): Promise<void> {
  const needed = await lockedHashes();
  for (const table of database.tables) if (!['meta', 'locked', 'photoBytes'].includes(table.name)) await table.clear();
  await database.photoBytes.bulkDelete(
    (await database.photoBytes.toCollection().primaryKeys()).filter((hash) => !needed.has(hash)),
  );
  await dropMeta('office_surveys');
  await putMeta('journal_is_past', newId());
}

/** Hashes of photos whose bytes belong to locked work: whoever else drops them leaves them be. */
export async function lockedHashes(): Promise<Set<string>> {
  return new Set((await database.locked.orderBy('hashes').uniqueKeys()).map(String));
}

/** Give a person back what was locked for them. Inside the caller's transaction over all tables; answers whether there was anything. */
export async function unlock(transaction: Transaction, email: string): Promise<boolean> {
  const rows = await database.locked.where('email').equals(email).toArray();
  const epoch = await readMeta('epoch');
  for (const row of rows) await giveBack(transaction, row, epoch);
  if (rows.length === 0) return false;
  await database.locked.bulkDelete(rows.map((row) => row.key));
  // Else the next start might find it locked there and put it away a second time.
  await putMeta('journal_is_past', newId());
  return true;
}

/** What is said of a room and of a surface when it is begun, and not after it has reached the office. */
const BEGUN_WITH: Record<string, string> = { room: 'use', surface: 'side' };

async function giveBack(transaction: Transaction, locked: LockedRow, epoch: string | undefined): Promise<void> {
  const { survey, born, created_at, edits } = locked;
  if (!(await database.surveys.get(survey)))
    await database.surveys.add({ ...emptySurvey(survey), born, created_at, edits });
  const own = new Set((await database.outbox.where('survey').equals(survey).toArray()).map(pathOf));
  const isPast = locked.epoch !== null && epoch !== undefined && locked.epoch !== epoch;
  // What they had seen was counted in a life of the office's database that is over.
  const inItsLife = <T extends Change>(change: T): T =>
    isPast ? { ...change, epoch: change.epoch ?? locked.epoch! } : change;
  const changes = locked.changes.filter((change) => !own.has(pathOf(change))).map(inItsLife);
  const records = new Map<string, RecordRow>();
  for (const change of [...locked.refused, ...changes]) {
    const key = recordKey(survey, change.kind, change.record);
    const record = records.get(key) ??
      (await database.records.get(key)) ?? { key, survey, kind: change.kind, id: change.record, values: {}, seen: {} };
    records.set(key, record);
    if (change.value === null) delete record.values[change.field];
    else record.values[change.field] = change.value;
  }
  await database.records.bulkPut([...records.values()]);
  await database.outbox.bulkPut(changes);
  await database.refused.bulkPut(locked.refused);
  // It may have been locked by an app that stored the size of every side. What was begun before it was locked is known here in part only.
  const begun = new Set(
    changes
      .filter((change) => change.seen === 0 && BEGUN_WITH[change.kind] === change.field)
      .map((change) => recordKey(survey, change.kind, change.record)),
  );
  await takeOverSizes(transaction, survey, (record) => begun.has(record.key));
  await takeOverUnits(transaction, survey);
  for (const photo of locked.photos) if (!(await database.photos.get(photo.key))) await database.photos.put(photo);
}

/** What waits here for people who are not signed in: numbers, and nothing else of it. */
export async function lockedHere(email: string | null): Promise<HeldCounts> {
  const rows = (await database.locked.toArray()).filter((row) => row.email !== email);
  const sum = (of: (row: LockedRow) => number) => rows.reduce((count, row) => count + of(row), 0);
  return countHeld({
    changes: sum((row) => row.changes.length),
    refused: sum((row) => row.refused.length),
    photos: rows.flatMap((row) => row.photos),
  });
}
