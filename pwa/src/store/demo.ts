/** The demo house on this phone: records without a single change that waits for the office. */
import { DEMO } from '../domain/demo.ts';
import { valuesTakenOver, type Values } from '../domain/model.ts';
import { database } from './database.ts';
import { emptySurvey, recordKey } from './rows.ts';
import { write } from './write.ts';

/** A survey document as far as it is read here. */
export interface DemoDocument {
  records: Record<string, readonly ({ id: string } & Values)[]>;
}

/** Put the demo house on this phone; one that is there already stays as it was left. Its photos are the office's and are left out. Raises NotSaved. */
export async function putDemo(document: DemoDocument): Promise<void> {
  const rows = Object.entries(document.records)
    .filter(([kind]) => kind !== 'photo')
    .flatMap(([kind, records]) =>
      records.map(({ id, ...values }) => ({
        key: recordKey(DEMO, kind, id),
        survey: DEMO,
        kind,
        id,
        values: valuesTakenOver(kind, values),
        seen: {},
      })),
    );
  await write(() =>
    database.transaction('rw', [database.surveys, database.records], async () => {
      if (await database.surveys.get(DEMO)) return;
      await database.surveys.add(emptySurvey(DEMO));
      await database.records.bulkPut(rows);
    }),
  );
}
