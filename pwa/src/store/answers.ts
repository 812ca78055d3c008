/** What was worked out on this phone, kept so that the next cold start shows it at once. */
import { database, type LiveRow } from './database.ts';
import { write } from './write.ts';

export function keepLive(row: LiveRow): Promise<void> {
  return write(() =>
    database.transaction('rw', [database.surveys, database.live], async () => {
      // A survey that has been taken off this phone meanwhile leaves nothing behind.
      if (await database.surveys.get(row.survey)) await database.live.put(row);
    }),
  );
}

/** The last answer of this very engine; one of another version is worked out anew. */
export async function readLive(survey: string, engine: string): Promise<LiveRow | null> {
  const row = await database.live.get(survey);
  return row?.engine === engine ? row : null;
}
