/** Photos on this phone: bytes, type and SHA-256, read back and compared before anyone says saved. */
import { stampNow } from '../domain/changes.ts';
import { newId } from '../domain/ids.ts';
import type { Values } from '../domain/model.ts';
import { database, readMeta, type PhotoRow, type Problem } from './database.ts';
import { sha256Of } from './hash.ts';
import { lockedHashes } from './locked.ts';
import { dropPhotosToo, keepPhotoToo, noteToo, photoFromJournal } from './second.ts';
import { saveEdits } from './surveys.ts';
import { NotSaved, write } from './write.ts';

export interface Picture {
  bytes: ArrayBuffer;
  media_type: string;
  width_px: number;
  height_px: number;
}

/**
 * Store a picture and its `photo` record. The same picture of the same record is kept once: the one that is there stands for both.
 *
 * Resolves with the record's id, and whether it was there before, once the bytes have been read back and are the same; else raises NotSaved.
 */
export async function savePicture(
  survey: string,
  picture: Picture,
  about: Values,
): Promise<{ id: string; isThere: boolean }> {
  const sha256 = await sha256Of(picture.bytes);
  const same = (await database.records.where('survey').equals(survey).toArray()).find(
    ({ kind, values }) =>
      kind === 'photo' &&
      values['deleted'] !== true &&
      values['sha256'] === sha256 &&
      ['of', 'category'].every((name) => (values[name] ?? null) === (about[name] ?? null)),
  );
  const kept = same && (await database.photoBytes.get(sha256));
  if (kept && (await sha256Of(kept.bytes)) === sha256) return { id: same.id, isThere: true };
  const id = newId();
  await putPicture(survey, id, picture, about);
  return { id, isThere: false };
}

/** Put another picture in the place of one: the record stays, its marks go, and bytes that never left this phone with them. */
export async function replacePicture(
  survey: string,
  record: string,
  before: string | null,
  picture: Picture,
): Promise<void> {
  await putPicture(survey, record, picture, { strokes: null });
  if (before) await dropBytes(survey, before);
}

/** Offer a photo that the office refused once more. */
export async function offerAgain(survey: string, sha256: string): Promise<void> {
  await write(() => database.photos.update(`${survey}/${sha256}`, { problem: null }));
}

async function putPicture(survey: string, record: string, picture: Picture, about: Values): Promise<void> {
  const sha256 = await sha256Of(picture.bytes);
  await keepBytes(survey, record, sha256, picture);
  await saveEdits(survey, [
    {
      kind: 'photo',
      id: record,
      values: {
        ...about,
        sha256,
        media_type: picture.media_type,
        size_bytes: picture.bytes.byteLength,
        width_px: picture.width_px,
        height_px: picture.height_px,
        taken_at: stampNow(),
      },
    },
  ]);
}

/**
 * Keep a photo's bytes under their hash, to be offered to the office, and a second time in the journal.
 *
 * Resolves once the bytes have been read back and are the same; else raises NotSaved.
 */
export async function keepBytes(
  survey: string,
  record: string,
  sha256: string,
  { bytes, media_type }: Pick<Picture, 'bytes' | 'media_type'>,
): Promise<void> {
  const row: PhotoRow = {
    key: `${survey}/${sha256}`,
    survey,
    record,
    sha256,
    media_type,
    size_bytes: bytes.byteLength,
    arrived: 0,
    problem: null,
  };
  await write(() =>
    database.transaction('rw', [database.photos, database.photoBytes], async () => {
      await database.photoBytes.put({ sha256, bytes, media_type });
      const before = await database.photos.get(row.key);
      // Taken once more, it is wanted after all.
      if (!before || before.arrived === 2) await database.photos.put(row);
    }),
  );
  const kept = await database.photoBytes.get(sha256);
  if (!kept || (await sha256Of(kept.bytes)) !== sha256) {
    throw new NotSaved('the photo read back differs from the one taken. Take it again.', null);
  }
  await keepPhotoToo(sha256, bytes);
  await noteToo({ t: 'photo', row });
}

export function readBytes(sha256: string): Promise<{ bytes: ArrayBuffer; media_type: string } | undefined> {
  return database.photoBytes.get(sha256);
}

/** The small copy of a photo that was made before, if there is one. */
export async function readStamp(sha256: string): Promise<ArrayBuffer | null> {
  return (await database.stamps.get(sha256))?.bytes ?? null;
}

/** Keep a small copy so that the next screen has it at once. Where there is no room for it, it is made again each time. */
export async function keepStamp(sha256: string, bytes: ArrayBuffer): Promise<void> {
  await database
    .transaction('rw', [database.stamps, database.meta], async () => {
      // One that comes late is not left behind by somebody who has signed out.
      if (await readMeta('session')) await database.stamps.put({ sha256, bytes });
    })
    .catch((fault: unknown) => console.error('A small copy of a photo was not kept:', fault));
}

/** The bytes of a photo as they were taken: from the journal when the database's are gone or spoilt; null when nobody has them any more. */
export async function soundBytes(photo: PhotoRow): Promise<ArrayBuffer | null> {
  const kept = await database.photoBytes.get(photo.sha256);
  if (kept && (await sha256Of(kept.bytes)) === photo.sha256) return kept.bytes;
  const second = await photoFromJournal(photo.sha256);
  if (!second || (await sha256Of(second)) !== photo.sha256) return null;
  await write(() => database.photoBytes.put({ sha256: photo.sha256, bytes: second, media_type: photo.media_type }));
  return second;
}

/** Photos whose bytes have not arrived at the office, the refused ones left out. */
export async function waitingPhotos(): Promise<PhotoRow[]> {
  return (await database.photos.where('arrived').equals(0).toArray()).filter((photo) => photo.problem === null);
}

export async function markArrived(key: string): Promise<void> {
  await write(() => database.photos.update(key, { arrived: 1, arrived_at: Date.now(), problem: null }));
  const sha256 = key.slice(key.indexOf('/') + 1);
  if (!(await lockedHashes()).has(sha256)) await dropPhotosToo([sha256]);
}

export async function markRefused(key: string, problem: Problem): Promise<void> {
  await write(() => database.photos.update(key, { problem }));
}

/**
 * Take a photo away. Its record says so at the office too; bytes that never left this phone are not sent any more, and stay for a while
 * for whoever brings it back, unless another photo that is still wanted has the same bytes.
 */
export async function removePicture(survey: string, record: string, sha256: string | null): Promise<void> {
  await saveEdits(survey, [{ kind: 'photo', id: record, values: { deleted: true } }]);
  if (sha256)
    await ifUnsentAndUnshown(survey, sha256, (key) =>
      database.photos.update(key, { arrived: 2, problem: null, taken_away_at: Date.now() }),
    );
}

/** Drop bytes that no photo of this survey shows any more and that never left this phone. */
function dropBytes(survey: string, sha256: string): Promise<void> {
  return ifUnsentAndUnshown(survey, sha256, async (key) => {
    await database.photos.delete(key);
    if ((await database.photos.where('sha256').equals(sha256).count()) > 0 || (await lockedHashes()).has(sha256))
      return;
    await database.photoBytes.delete(sha256);
    await database.stamps.delete(sha256);
  });
}

/** Do `work` on the row of bytes that no photo of this survey shows any more and that never left this phone, if there is one. */
async function ifUnsentAndUnshown(
  survey: string,
  sha256: string,
  work: (key: string) => Promise<unknown>,
): Promise<void> {
  await write(() =>
    database.transaction(
      'rw',
      [database.records, database.photos, database.photoBytes, database.stamps, database.locked],
      async () => {
        const records = await database.records.where('survey').equals(survey).toArray();
        if (
          records.some(
            (item) => item.kind === 'photo' && item.values['sha256'] === sha256 && item.values['deleted'] !== true,
          )
        )
          return;
        const key = `${survey}/${sha256}`;
        if ((await database.photos.get(key))?.arrived === 0) await work(key);
      },
    ),
  );
}
