/** Ids made on the device: UUID version 7 (RFC 9562, section 5.7), so they sort by the moment they were made. */

let lastMoment = 0;
let counter = 0;

function asUuid(hex: string): string {
  return `${hex.slice(0, 8)}-${hex.slice(8, 12)}-${hex.slice(12, 16)}-${hex.slice(16, 20)}-${hex.slice(20)}`;
}

/**
 * Make a new id. Ids of one page never repeat and never go backwards, even when the clock does.
 */
export function newId(now: number = Date.now()): string {
  if (now > lastMoment) {
    lastMoment = now;
    counter = 0;
  } else if (++counter > 0xfff) {
    // More than 4,096 ids in a millisecond: borrow the next one.
    lastMoment += 1;
    counter = 0;
  }
  const random = crypto.getRandomValues(new Uint8Array(8));
  random[0] = (random[0]! & 0x3f) | 0x80;
  const tail = [...random].map((byte) => byte.toString(16).padStart(2, '0')).join('');
  return asUuid(lastMoment.toString(16).padStart(12, '0') + '7' + counter.toString(16).padStart(3, '0') + tail);
}

/**
 * The id of a record that a survey has once (the household, the supply …).
 *
 * Two phones that start it without having met must mean the same record, so the id is made from the survey's
 * own id and the kind: its first 80 bits are the survey's, the last 48 a hash (FNV-1a) of both.
 */
export function singleId(survey: string, kind: string): string {
  let hash = 0xcbf29ce484222325n;
  for (const byte of new TextEncoder().encode(`${survey}/${kind}`)) {
    hash = BigInt.asUintN(64, (hash ^ BigInt(byte)) * 0x100000001b3n);
  }
  const tail = (hash >> 16n).toString(16).padStart(12, '0');
  return `${survey.slice(0, -12)}${tail}`;
}
