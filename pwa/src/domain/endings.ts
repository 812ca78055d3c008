/**
 * Whether a picture file goes on to its end, by what it says itself: a browser draws one that breaks off as far as it goes.
 *
 * The office asks the same (`backend/wattwalk/sync/endings.py`); both are held by `tests/golden/pictures.json`.
 */

const word = (bytes: Uint8Array, at: number, size: number): number => {
  let value = 0;
  for (let place = at; place < at + size; place += 1) value = value * 256 + (bytes[place] ?? 0);
  return value;
};

const startsWith = (bytes: Uint8Array, at: number, letters: string): boolean =>
  [...letters].every((letter, place) => bytes[at + place] === letter.charCodeAt(0));

/** False when a JPEG, PNG or WebP file breaks off before its end; null for any other kind, which says nothing that is known here. */
export function isWhole(bytes: Uint8Array): boolean | null {
  if (bytes[0] === 0xff && bytes[1] === 0xd8) return jpegEnds(bytes);
  if (startsWith(bytes, 1, 'PNG\r\n')) return pngEnds(bytes);
  if (startsWith(bytes, 0, 'RIFF') && startsWith(bytes, 8, 'WEBP'))
    return bytes.length >= 8 + (bytes[4]! + bytes[5]! * 0x100 + bytes[6]! * 0x1_0000 + bytes[7]! * 0x100_0000);
  return null;
}

function jpegEnds(bytes: Uint8Array): boolean {
  let place = 2;
  while (place + 2 <= bytes.length) {
    if (bytes[place] !== 0xff) return false;
    const marker = bytes[place + 1]!;
    if (marker === 0xd9) return true;
    if (marker === 0xff) {
      place += 1;
      continue;
    }
    place += 2;
    // These stand alone, without a length after them.
    if (marker === 0x01 || (marker >= 0xd0 && marker <= 0xd8)) continue;
    place += word(bytes, place, 2);
    if (marker === 0xda) place = afterLines(bytes, place);
  }
  return false;
}

/** The place of the marker that ends packed lines: neither a stuffed zero nor a mark to start again from. */
function afterLines(bytes: Uint8Array, from: number): number {
  for (
    let place = bytes.indexOf(0xff, from);
    place >= 0 && place + 1 < bytes.length;
    place = bytes.indexOf(0xff, place + 1)
  ) {
    const marker = bytes[place + 1]!;
    if (marker !== 0 && marker !== 0xff && !(marker >= 0xd0 && marker <= 0xd7)) return place;
  }
  return bytes.length;
}

function pngEnds(bytes: Uint8Array): boolean {
  let place = 8;
  while (place + 12 <= bytes.length) {
    const end = place + 12 + word(bytes, place, 4);
    // The last chunk is empty, so its checksum is always the same.
    if (startsWith(bytes, place + 4, 'IEND')) return end <= bytes.length && word(bytes, end - 4, 4) === 0xae426082;
    place = end;
  }
  return false;
}
