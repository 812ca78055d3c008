/** A file copy of a survey: the survey document with the photos inlined, whatever the office knows. */
import { kindsHeldBy } from '../domain/model.ts';
import { Survey } from '../domain/survey.ts';
import { database } from './database.ts';

function base64(bytes: ArrayBuffer): string {
  const view = new Uint8Array(bytes);
  const parts: string[] = [];
  // In pieces, since a call takes only so many arguments.
  for (let at = 0; at < view.length; at += 0x8000) parts.push(String.fromCharCode(...view.subarray(at, at + 0x8000)));
  return btoa(parts.join(''));
}

export async function surveyDocument(id: string): Promise<Blob> {
  const records = await database.records.where('survey').equals(id).toArray();
  const survey = new Survey(id, records);
  const written: Record<string, unknown[]> = {};
  for (const kind of kindsHeldBy('survey')) {
    const known = new Set(kind.fields.map((field) => field.name));
    const items = survey.ofKind(kind.name).map((record) => ({
      id: record.id,
      ...Object.fromEntries(Object.entries(record.values).filter(([name]) => known.has(name))),
    }));
    if (items.length > 0) written[kind.name] = items;
  }
  const photos: Record<string, { base64: string }> = {};
  for (const photo of await database.photos.where('survey').equals(id).toArray()) {
    const kept = await database.photoBytes.get(photo.sha256);
    if (kept) photos[photo.sha256] = { base64: base64(kept.bytes) };
  }
  const document = {
    format: 'wattwalk-survey',
    version: 3,
    id,
    records: written,
    ...(Object.keys(photos).length > 0 ? { photos } : {}),
  };
  return new Blob([JSON.stringify(document, null, 1)], { type: 'application/json' });
}
