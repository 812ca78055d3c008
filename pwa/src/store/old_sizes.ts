/** What a phone holds from before a side could follow its room's box: sizes that say no more than the box fall away. */
import type { Transaction } from 'dexie';
import { coalesce, pathOf, stampNow, type Change } from '../domain/changes.ts';
import { newId } from '../domain/ids.ts';
import type { Values } from '../domain/model.ts';
import { saidAgain, SIZES } from '../domain/sizes.ts';
import { pullAnew, tableIn, type StoredRecord, type StoredSurvey } from './old_rows.ts';

/** A surface that held a size in a room, with the sizes that fall away: none where they differ from the box. */
interface Sized {
  record: StoredRecord;
  again: string[];
}

function sizedIn(all: readonly StoredRecord[], isWhole: (record: StoredRecord) => boolean): Sized[] {
  const records = all.filter(isWhole);
  const rooms = new Map(records.filter((record) => record.kind === 'room').map((record) => [record.id, record.values]));
  return records.flatMap((record) => {
    const room = record.kind === 'surface' ? rooms.get(String(record.values['room'])) : undefined;
    // One whose room alone was taken away has nothing to follow, and keeps what it measured.
    const isAlone = room?.['deleted'] === true && record.values['deleted'] !== true;
    return room &&
      !isAlone &&
      record.values['side'] !== undefined &&
      SIZES.some((name) => record.values[name] !== undefined)
      ? [{ record, again: saidAgain(record.values, room) }]
      : [];
  });
}

/**
 * Let the sides of a survey follow their boxes that are as large, inside a transaction of the caller's over the tables named below.
 *
 * A size that still waits for the office is replaced under a new id by 'as the box is', as by any edit. One that the office has falls away without
 * a change, since the office went through its log by itself; the survey is pulled once more from the beginning, so that what it decided stands here too.
 *
 * @param isWhole whether all that was ever said of a room or a surface is here; what is said of another one is left for the office to decide
 */
export async function takeOverSizes(
  transaction: Transaction,
  survey: string,
  isWhole: (record: StoredRecord) => boolean = () => true,
): Promise<void> {
  const table = tableIn(transaction);
  const sized = sizedIn(await table<StoredRecord>('records').where('survey').equals(survey).toArray(), isWhole);
  const row = sized.length > 0 ? await table<StoredSurvey>('surveys').get(survey) : undefined;
  if (!row) return;
  const falling = sized.filter(({ again }) => again.length > 0);
  const waiting = new Map<string, Change[]>();
  for (const change of await table<Change>('outbox').where('survey').equals(survey).sortBy('id'))
    waiting.set(pathOf(change), [...(waiting.get(pathOf(change)) ?? []), change]);
  const madeAt = stampNow();
  const add: Change[] = [];
  const drop: string[] = [];
  for (const { record, again } of falling) {
    const values: Values = { ...record.values };
    for (const name of again) {
      delete values[name];
      const before = waiting.get(pathOf({ survey, kind: 'surface', record: record.id, field: name }));
      if (!before) continue;
      const replaced = coalesce(
        { survey, kind: 'surface', id: record.id, values: { [name]: null } },
        before,
        record.seen,
        newId,
        madeAt,
      );
      add.push(...replaced.add);
      drop.push(...replaced.drop);
    }
    await table<StoredRecord>('records').put({ ...record, values });
  }
  await table<Change>('outbox').bulkDelete(drop);
  await table<Change>('outbox').bulkAdd(add);
  await pullAnew(table, survey, row, falling.length > 0);
}
