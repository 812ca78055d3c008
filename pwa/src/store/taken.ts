/** What was taken away and can be brought back, as it lies on this phone; a photo's picture is kept for a while for that. */
import { broughtBack, placed, takenAway, type Placed, type Taken } from '../domain/taken.ts';
import { database, type RecordRow } from './database.ts';
import { watch, type Live } from './live.ts';
import { saveBuilt, recordsEver } from './surveys.ts';
import { NotSaved, write } from './write.ts';

/** A picture that never left this phone is kept so long after its photo was taken away. */
export const KEPT_DAYS = 30;
const DAY_MS = 86_400_000;

/** Where a photo's picture is: on this phone, at the office as it said, with nobody that this phone knows of. */
export type PictureAt = 'here' | 'office' | 'gone';

export interface TakenHere extends Taken {
  /** For a photo that has a picture. */
  picture: PictureAt | null;
  /** The day on which a picture that is only here goes for good, ms. */
  until: number | null;
}

const hashOf = (values: RecordRow['values']): string | null =>
  typeof values['sha256'] === 'string' ? values['sha256'] : null;

async function placedHere(survey: string): Promise<Placed[]> {
  const [records, waiting] = await Promise.all([
    recordsEver(survey),
    database.outbox.where('survey').equals(survey).toArray(),
  ]);
  return placed(records, waiting);
}

async function pictureAt(survey: string, sha256: string): Promise<Pick<TakenHere, 'picture' | 'until'>> {
  const row = await database.photos.get(`${survey}/${sha256}`);
  if ((await database.photoBytes.where('sha256').equals(sha256).count()) > 0)
    return {
      picture: 'here',
      until: row?.arrived === 2 ? (row.taken_away_at ?? 0) + KEPT_DAYS * DAY_MS : null,
    };
  const there = (await database.surveys.get(survey))?.photos_at_office ?? [];
  const isThere = row?.arrived === 1 || there.some((photo) => photo.sha256 === sha256 && photo.arrived);
  return { picture: isThere ? 'office' : 'gone', until: null };
}

/** What was taken away from a survey, the last first. */
export function watchTaken(survey: string): Live<TakenHere[]> {
  return watch(async () =>
    Promise.all(
      takenAway(await placedHere(survey)).map(async (taken): Promise<TakenHere> => {
        const sha256 = taken.record.kind === 'photo' ? hashOf(taken.record.values) : null;
        return { ...taken, ...(sha256 ? await pictureAt(survey, sha256) : { picture: null, until: null }) };
      }),
    ),
  );
}

/**
 * Bring a record back with all that went along, by what is stored at this moment. An edit like any other: it is kept, sent and contested by the same rules.
 *
 * Resolves when it is on the phone's storage; raises NotSaved, also when it is a photo whose picture nobody has any more.
 */
export async function bringBack(survey: string, kind: string, id: string): Promise<void> {
  if (kind === 'photo') await wantPictureAgain(survey, id);
  await saveBuilt(survey, async () => broughtBack(await placedHere(survey), kind, id));
}

/** A picture that was kept is wanted by the office again. Before its record comes back: were it stopped in between, nothing would be lost. */
async function wantPictureAgain(survey: string, id: string): Promise<void> {
  const record = await database.records.get(`${survey}/photo/${id}`);
  const sha256 = record ? hashOf(record.values) : null;
  if (!sha256) return;
  const { picture } = await pictureAt(survey, sha256);
  if (picture === 'gone') throw new NotSaved('the picture is gone: nobody has it any more. Take it again.', null);
  const key = `${survey}/${sha256}`;
  await write(() =>
    database.transaction('rw', database.photos, async () => {
      if ((await database.photos.get(key))?.arrived === 2) await database.photos.update(key, { arrived: 0 });
    }),
  );
}

/** Drop pictures whose time is over, and that nothing else shows. */
export async function dropOldPictures(now: number = Date.now()): Promise<void> {
  await write(() =>
    database.transaction('rw', [database.photos, database.photoBytes, database.stamps, database.locked], async () => {
      const over = (await database.photos.where('arrived').equals(2).toArray()).filter(
        (photo) => (photo.taken_away_at ?? 0) + KEPT_DAYS * DAY_MS <= now,
      );
      const locked = new Set((await database.locked.orderBy('hashes').uniqueKeys()).map(String));
      for (const photo of over) {
        await database.photos.delete(photo.key);
        if (locked.has(photo.sha256) || (await database.photos.where('sha256').equals(photo.sha256).count()) > 0)
          continue;
        await database.photoBytes.delete(photo.sha256);
        await database.stamps.delete(photo.sha256);
      }
    }),
  );
}
