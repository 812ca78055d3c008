/** From a camera's file to a photo on this phone: scaled, hashed, stored, read back. */
import { isWhole } from '../domain/endings.ts';
import { DEMO } from '../domain/demo.ts';
import type { Values } from '../domain/model.ts';
import { keepStamp, readBytes, readStamp, replacePicture, savePicture, type Picture } from '../store/photos.ts';
import { roomLeft } from '../store/persistence.ts';
import { NotSaved } from '../store/write.ts';
import { askPicture } from './api.ts';

const LONGEST_PX = 2048;
const QUALITY = 0.85;
/** Photos stop at this share of the storage, so that there is always room for answers. */
const FULL_AT = 0.8;
export const PHOTOS_FULL =
  'the storage of this phone is four fifths full, and the rest is kept for answers. Free some room, or let photos reach the office first.';

/** Whether photos have to stop so that answers still find room. */
export async function isFullForPhotos(): Promise<boolean> {
  const room = await roomLeft();
  return room.used_bytes !== null && !!room.quota_bytes && room.used_bytes / room.quota_bytes > FULL_AT;
}

/** Not a picture that this phone can read. */
export class NotAPicture extends Error {
  override readonly name = 'NotAPicture';
}

/**
 * Take a photo into a survey. Resolves with the id of its record when it is saved on this phone, and whether it was there before.
 *
 * @param of id of the record that it belongs to, or null
 * @throws NotAPicture when the file is no picture; NotSaved when the storage did not take it
 */
export async function addPhoto(
  survey: string,
  file: Blob,
  of: string | null,
  category: string | null,
  caption: string | null = null,
): Promise<{ id: string; isThere: boolean }> {
  if (survey === DEMO)
    throw new NotAPicture(
      'The demo house takes no photos, since they would never reach an office. Take them in a survey.',
    );
  const picture = await pictureFrom(file);
  const about: Values = {};
  if (of) about['of'] = of;
  if (category) about['category'] = category;
  if (caption) about['caption'] = caption;
  return savePicture(survey, picture, about);
}

/** Take a photo again in the place of one that the office refused: what it shows and belongs to stays, its marks go. */
export async function retakePhoto(survey: string, record: string, before: string | null, file: Blob): Promise<void> {
  await replacePicture(survey, record, before, await pictureFrom(file));
}

/** A camera's picture as it is kept: upright, no larger than asked for, as JPEG. */
async function pictureFrom(file: Blob): Promise<Picture> {
  if (await isFullForPhotos()) throw new NotSaved(PHOTOS_FULL, null);
  // A browser draws a picture that breaks off as far as it goes, with grey below: that is no photo of what was there.
  if (isWhole(new Uint8Array(await file.arrayBuffer())) === false)
    throw new NotAPicture(
      'This picture breaks off before its end, so it was not taken. Take it again, or choose another.',
    );
  let bitmap: ImageBitmap;
  try {
    // The camera's own turning of the picture is applied here, once.
    bitmap = await createImageBitmap(file, { imageOrientation: 'from-image' });
  } catch {
    throw new NotAPicture('This file is not a picture that the phone can read.');
  }
  const scale = Math.min(1, LONGEST_PX / Math.max(bitmap.width, bitmap.height));
  const canvas = document.createElement('canvas');
  canvas.width = Math.max(1, Math.round(bitmap.width * scale));
  canvas.height = Math.max(1, Math.round(bitmap.height * scale));
  const context = canvas.getContext('2d');
  if (!context)
    throw new NotSaved('the phone has no memory left to scale the photo. Close other apps and take it again.', null);
  context.drawImage(bitmap, 0, 0, canvas.width, canvas.height);
  bitmap.close();
  const scaled = await new Promise<Blob | null>((resolve) => canvas.toBlob(resolve, 'image/jpeg', QUALITY));
  if (!scaled) throw new NotSaved('the phone could not write the photo as JPEG. Take it again.', null);
  return {
    bytes: await scaled.arrayBuffer(),
    media_type: 'image/jpeg',
    width_px: canvas.width,
    height_px: canvas.height,
  };
}

/** A photo under a blob address, to be revoked: its bytes on this phone, or the office's small copy; null when neither is to be had. */
export async function photoAddress(survey: string, sha256: string): Promise<string | null> {
  const kept = await readBytes(sha256);
  if (kept) return URL.createObjectURL(new Blob([kept.bytes], { type: kept.media_type }));
  const small = (await readStamp(sha256)) ?? (await previewOf(survey, sha256));
  return small && addressOf(small);
}

const addressOf = (bytes: ArrayBuffer): string => URL.createObjectURL(new Blob([bytes], { type: 'image/jpeg' }));

/** The office's small copy of a photo. The browser may keep nothing of the office's, so it is kept here, where a sign-out takes it away; next time it needs no signal. */
async function previewOf(survey: string, sha256: string): Promise<ArrayBuffer | null> {
  const bytes = await askPicture(`/api/surveys/${encodeURIComponent(survey)}/photos/${sha256}/preview`);
  if (bytes && !(await isFullForPhotos())) void keepStamp(sha256, bytes);
  return bytes;
}

/** Longest side of a photo as a stamp in a list, px: as wide as it is shown on a phone with a fine screen. */
const STAMP_PX = 360;

/** One at a time: a photo is large while it is made small, and a thumb that scrolls wants the processor too. */
let making: Promise<unknown> = Promise.resolve();

/** A small copy of a photo under a blob address, to be revoked; null when it is neither here nor to be had from the office. */
export async function stampOf(survey: string, sha256: string): Promise<string | null> {
  const there = await readStamp(sha256);
  if (there) return addressOf(there);
  const made = making.then(() => makeStamp(sha256));
  making = made.catch(() => undefined);
  const mine = await made;
  if (mine) return mine;
  const theirs = await previewOf(survey, sha256);
  return theirs && addressOf(theirs);
}

async function makeStamp(sha256: string): Promise<string | null> {
  const kept = await readBytes(sha256);
  if (!kept) return null;
  const whole = new Blob([kept.bytes], { type: kept.media_type });
  const bitmap = await createImageBitmap(whole, {
    imageOrientation: 'from-image',
    resizeWidth: STAMP_PX,
    resizeQuality: 'medium',
  });
  const canvas = document.createElement('canvas');
  canvas.width = bitmap.width;
  canvas.height = bitmap.height;
  const context = canvas.getContext('2d');
  context?.drawImage(bitmap, 0, 0);
  bitmap.close();
  const small = context ? await new Promise<Blob | null>((resolve) => canvas.toBlob(resolve, 'image/jpeg', 0.8)) : null;
  if (small) void small.arrayBuffer().then((bytes) => keepStamp(sha256, bytes));
  // Without memory for a copy the whole picture does.
  return URL.createObjectURL(small ?? whole);
}
