/** A file copy of a survey read back: what is missing on this phone is put in, what differs stays as it is here, nothing is doubled. */
import { kindOf, model, type Value, type Values } from '../domain/model.ts';
import { takenOverRecords } from '../domain/moved.ts';
import { isFollowed, saidAgain } from '../domain/sizes.ts';
import type { Edit } from '../domain/survey.ts';
import { database } from './database.ts';
import { sha256Of } from './hash.ts';
import { keepBytes } from './photos.ts';
import { recordKey } from './rows.ts';
import { fetchToPhone, saveEdits } from './surveys.ts';

/** The file is not one that can be read; nothing was changed. */
export class NotACopy extends Error {
  override readonly name = 'NotACopy';
}

export interface ReadBack {
  survey: string;
  answers: number;
  photos: number;
  /** Answers that differ on this phone; these stay. */
  differ: number;
  /** Answers of a kind that this version of the app does not know. */
  unknown: number;
  /** Photos whose bytes are not those that were taken. */
  spoilt: number;
}

const FORMAT = 'wattwalk-survey';
/** In the first version every side of a room said its size, up to the second a place said what its unit is. */
const VERSIONS: unknown[] = [1, 2, 3];
const UNITS_AT_PLACES: unknown[] = [1, 2];

export interface Copy {
  id: string;
  records: Record<string, ({ id: string } & Values)[]>;
  photos: Record<string, { base64: string }>;
}

const isObject = (value: unknown): value is Record<string, unknown> =>
  typeof value === 'object' && value !== null && !Array.isArray(value);

/** Read the text of a file. Raises NotACopy, in words for whoever chose it. */
export function parseCopy(text: string): Copy {
  let found: unknown;
  try {
    found = JSON.parse(text);
  } catch {
    throw new NotACopy(
      'This file is damaged, or only half of it was written. Nothing was changed. Take another copy, if there is one.',
    );
  }
  if (!isObject(found) || found['format'] !== FORMAT)
    throw new NotACopy('This file is not a copy of a survey. Nothing was changed.');
  if (!VERSIONS.includes(found['version']))
    throw new NotACopy(
      `This copy was made by another version of Wattwalk: its file is of version ${String(found['version'])}, and this app reads versions ${VERSIONS.slice(0, -1).join(', ')} and ${VERSIONS.at(-1)}. Bring the app up to date and try again. Nothing was changed.`,
    );
  const { id, records, photos = {} } = found;
  const isWhole =
    typeof id === 'string' &&
    id !== '' &&
    isObject(records) &&
    isObject(photos) &&
    Object.values(records).every(
      (items) => Array.isArray(items) && items.every((item) => isObject(item) && typeof item['id'] === 'string'),
    );
  if (!isWhole) throw new NotACopy('Parts of this copy are missing or damaged. Nothing was changed.');
  const copy = { id, records, photos } as Copy;
  if (UNITS_AT_PLACES.includes(found['version'])) copy.records = takenOverRecords(copy.records);
  return withoutSaidAgain(copy);
}

/** A copy in which no side says a size that its room's box says. */
function withoutSaidAgain(copy: Copy): Copy {
  const rooms = new Map((copy.records['room'] ?? []).map((room) => [room.id, room]));
  for (const surface of copy.records['surface'] ?? []) {
    const room = rooms.get(String(surface['room']));
    for (const name of room ? saidAgain(surface, room) : []) delete surface[name];
  }
  return copy;
}

/** Put what a copy holds beyond this phone onto it; `onPhoto` hears how far it has come, since hundreds of photos take a while. Raises NotSaved. */
export async function readCopyBack(
  copy: Copy,
  onPhoto: (done: number, all: number) => void = () => undefined,
): Promise<ReadBack> {
  const survey = copy.id;
  const kept = new Map(
    (await database.records.where('survey').equals(survey).toArray()).map((record) => [record.key, record.values]),
  );
  const followsHere = (name: string, surface: Values): boolean => {
    const room = kept.get(recordKey(survey, 'room', String(surface['room'])));
    return room !== undefined && isFollowed(name, surface, room);
  };
  const made: ReadBack = { survey, answers: 0, photos: 0, differ: 0, unknown: 0, spoilt: 0 };
  const edits: Edit[] = [];
  for (const [kind, items] of Object.entries(copy.records)) {
    const known = model.kinds[kind] && new Set(kindOf(kind).fields.map((field) => field.name));
    for (const { id, ...values } of items) {
      const here = kept.get(recordKey(survey, kind, id));
      const missing: Values = {};
      for (const [name, value] of Object.entries(values)) {
        if (!known?.has(name)) made.unknown += 1;
        // A side that follows its room here has been answered: it is as large as the room.
        else if (kind === 'surface' && here && here[name] === undefined && followsHere(name, here)) made.differ += 1;
        else if (here?.[name] === undefined && here?.['deleted'] !== true) missing[name] = value as Value;
        else if (JSON.stringify(here?.[name]) !== JSON.stringify(value)) made.differ += 1;
      }
      if (!here && known && Object.keys(missing).length === 0) missing['deleted'] = false;
      made.answers += Object.keys(missing).length;
      if (Object.keys(missing).length > 0) edits.push({ kind, id, values: missing });
    }
  }
  await fetchToPhone(survey);
  const photos = new Map(
    (copy.records['photo'] ?? []).flatMap((record) =>
      typeof record['sha256'] === 'string' ? [[record['sha256'], record] as const] : [],
    ),
  );
  const pictures = Object.entries(copy.photos);
  for (const [place, [sha256, { base64 }]] of pictures.entries()) {
    onPhoto(place + 1, pictures.length);
    const record = photos.get(sha256);
    if (!record || (await database.photos.get(`${survey}/${sha256}`))) continue;
    const bytes = bytesOf(base64);
    if (!bytes || (await sha256Of(bytes)) !== sha256) made.spoilt += 1;
    else {
      await keepBytes(survey, record.id, sha256, { bytes, media_type: String(record['media_type'] ?? 'image/jpeg') });
      made.photos += 1;
    }
  }
  await saveEdits(survey, edits);
  return made;
}

function bytesOf(base64: unknown): ArrayBuffer | null {
  try {
    return Uint8Array.from(atob(String(base64)), (sign) => sign.charCodeAt(0)).buffer;
  } catch {
    return null;
  }
}
