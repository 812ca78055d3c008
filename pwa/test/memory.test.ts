import { expect, test } from 'vitest';
import { packed, unpacked } from '../src/engine/memory.ts';

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

test.each([1_000, BLOCK, 1_000_000])('a memory comes back as it was, in pieces of %i bytes', async (size) => {
  const kept = await joined(packed(memory()));
  expect(isTheSame(await unpacked(streamOf(kept, size)), memory())).toBe(true);
});

test('empty stretches are not kept', async () => {
  const kept = await joined(packed(memory()));
  // Three blocks and the last hundred bytes, behind a head of three numbers and two for each of three stretches.
  expect(kept.length).toBe(3 * BLOCK + 100 + 4 * (3 + 2 * 3));
  expect((await joined(packed(new Uint8Array(50 * BLOCK)))).length).toBe(12);
  const empty = new Uint8Array(50 * BLOCK);
  expect(isTheSame(await unpacked(streamOf(await joined(packed(empty)), 5)), empty)).toBe(true);
});

test.each([4, 30, 1_000, -1])('one that is cut off after %i bytes is refused', async (length) => {
  const kept = await joined(packed(memory()));
  await expect(unpacked(streamOf(kept.slice(0, length), 500))).rejects.toThrow('cut off');
});

test('what is something else is refused', async () => {
  await expect(unpacked(streamOf(memory(), 500))).rejects.toThrow('no memory');
});
