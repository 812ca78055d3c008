/** What is where, counted over all surveys of this phone. */
import { database } from './database.ts';
import { countHeld, type HeldCounts } from './rows.ts';

export interface Status extends HeldCounts {
  /** When the oldest change that the office has not taken was made, as this phone's clock had it; null when none waits. */
  oldest: string | null;
  /** Answers that the office has from this phone, the last of each field, and photos whose bytes it has. */
  sent: number;
  photosSent: number;
  contested: number;
}

export async function status(): Promise<Status> {
  return database.transaction(
    'r',
    [database.outbox, database.photos, database.sent, database.refused, database.surveys],
    async () => {
      const [changes, sent, refused, photos, surveys] = await Promise.all([
        // The ids hold the moment at which they were made, and a wrong clock only makes the label wrong.
        database.outbox.orderBy('id').toArray(),
        database.sent.count(),
        database.refused.count(),
        database.photos.toArray(),
        database.surveys.toArray(),
      ]);
      const here = photos.filter((photo) => photo.arrived === 0);
      return {
        ...countHeld({ changes: changes.length, photos: here, refused }),
        oldest: changes[0]?.made_at ?? null,
        sent,
        photosSent: photos.length - here.length,
        contested: surveys.reduce((count, row) => count + row.contested.length, 0),
      };
    },
  );
}
