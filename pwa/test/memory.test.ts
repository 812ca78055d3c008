import { expect, test } from 'vitest';
import { opened, packed } from '../src/engine/memory.ts';

const BLOCK = 65_536;

/** A stream that gives the bytes in pieces of `size`. */
const streamOf = (bytes: Uint8Array<ArrayBuffer>, size: number): ReadableStream<Uint8Array<ArrayBuffer>> =>
  new ReadableStream({
    start(stream) {
      for (let place = 0; place < bytes.length; place += size) stream.enqueue(bytes.slice(place, place + size));
      stream.close();
    },
  });
const joined = async (pieces: Uint8Array<ArrayBuffer>[]) => new Uint8Array(await new Blob(pieces).arrayBuffer());

const isTheSame = (one: Uint8Array, other: Uint8Array): boolean =>
  one.length === other.length && one.every((byte, place) => byte === other[place]);

/** Begins and ends empty, with a single byte at the edge of a block and a last block that is no whole one. */
function memory(): Uint8Array<ArrayBuffer> {
  const bytes = new Uint8Array(9 * BLOCK + 100);
  bytes[2 * BLOCK] = 7;
  bytes[3 * BLOCK - 1] = 8;
  for (let place = 5 * BLOCK; place < 7 * BLOCK; place += 1) bytes[place] = 1 + (place % 250);
  bytes[9 * BLOCK + 99] = 9;
  return bytes;
}

const ABOUT = Uint8Array.from([5, 4, 3, 2, 1, 0, 1]);

/** What stood in the place before is of no account. */
async function putBack(kept: Uint8Array<ArrayBuffer>, size: number) {
  const found = await opened(streamOf(kept, size));
  const place = new Uint8Array(found.size).fill(77);
  await found.readInto(place);
  return { about: found.about, place };
}

test.each([1_000, BLOCK, 1_000_000])('a memory comes back as it was, in pieces of %i bytes', async (size) => {
  const { about, place } = await putBack(await joined(packed(ABOUT, memory())), size);
  expect(isTheSame(place, memory())).toBe(true);
  expect(about).toEqual(ABOUT);
});

test('empty stretches are not kept, and are empty again', async () => {
  const kept = await joined(packed(ABOUT, memory()));
  // Three blocks and the last hundred bytes, behind a head of four numbers and two for each of three stretches.
  expect(kept.length).toBe(3 * BLOCK + 100 + 4 * (4 + 2 * 3) + ABOUT.length);
  expect((await joined(packed(ABOUT, new Uint8Array(50 * BLOCK)))).length).toBe(16 + ABOUT.length);
  const empty = new Uint8Array(50 * BLOCK);
  expect(isTheSame((await putBack(await joined(packed(ABOUT, empty)), 5)).place, empty)).toBe(true);
});

test.each([4, 30, 45, 1_000, -1])('one that is cut off after %i bytes is refused', async (length) => {
  const kept = await joined(packed(ABOUT, memory()));
  await expect(putBack(kept.slice(0, length), 500)).rejects.toThrow('cut off');
});

test('what is something else is refused', async () => {
  await expect(opened(streamOf(memory(), 500))).rejects.toThrow('no memory');
});
