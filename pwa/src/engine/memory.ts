/**
 * The memory of a started engine as it is kept on the phone: without its empty stretches, which are half of it.
 *
 * It begins with a mark, the size of the whole, the length of what the runtime says of it and the number of stretches; then comes where
 * each begins and how long it is, all as 32-bit numbers; then what the runtime says, and the stretches themselves, one after the other.
 */

const MARK = 0x57574d32;
/** Stretches shorter than this are kept although they are empty: each costs a step. */
const BLOCK_BYTES = 65_536;
const HEAD_NUMBERS = 4;

function isEmpty(memory: Uint8Array, start: number, end: number): boolean {
  for (let place = start; place < end; place += 1) if (memory[place] !== 0) return false;
  return true;
}

/** What is to be kept of a memory, in pieces that follow each other; `about` is what the runtime itself says of it. */
export function packed(about: Uint8Array<ArrayBuffer>, memory: Uint8Array<ArrayBuffer>): Uint8Array<ArrayBuffer>[] {
  const stretches: { start: number; length: number }[] = [];
  for (let start = 0; start < memory.length; start += BLOCK_BYTES) {
    const length = Math.min(BLOCK_BYTES, memory.length - start);
    if (isEmpty(memory, start, start + length)) continue;
    const last = stretches.at(-1);
    if (last && last.start + last.length === start) last.length += length;
    else stretches.push({ start, length });
  }
  const head = Uint32Array.from([
    MARK,
    memory.length,
    about.length,
    stretches.length,
    ...stretches.flatMap(({ start, length }) => [start, length]),
  ]);
  return [
    new Uint8Array(head.buffer),
    about,
    ...stretches.map(({ start, length }) => memory.subarray(start, start + length)),
  ];
}

export interface Kept {
  /** What the runtime says of its memory. */
  about: Uint8Array<ArrayBuffer>;
  /** Bytes of the whole. */
  size: number;
  /**
   * Read it straight into the place where it is to work, which is `size` long; whatever stood there goes.
   *
   * @throws When it is cut off.
   */
  readInto(memory: Uint8Array): Promise<void>;
}

/**
 * Begin to read what was kept.
 *
 * @throws When it is not a memory, or is cut off.
 */
export async function opened(kept: ReadableStream<Uint8Array<ArrayBuffer>>): Promise<Kept> {
  const reader = kept.getReader();
  let chunk = new Uint8Array(0);
  /** Fill `place` with what comes next. */
  const fill = async (place: Uint8Array): Promise<void> => {
    for (let filled = 0; filled < place.length;) {
      if (chunk.length === 0) {
        const { done, value } = await reader.read();
        if (done) throw new Error('The kept memory of the engine is cut off.');
        chunk = value;
      }
      const part = chunk.subarray(0, place.length - filled);
      place.set(part, filled);
      filled += part.length;
      chunk = chunk.subarray(part.length);
    }
  };
  const numbers = async (count: number): Promise<Uint32Array> => {
    const read = new Uint32Array(count);
    await fill(new Uint8Array(read.buffer));
    return read;
  };
  const [mark, size, length, count] = await numbers(HEAD_NUMBERS);
  if (mark !== MARK) throw new Error('What was kept is no memory of the engine.');
  const places = await numbers(2 * count!);
  const about = new Uint8Array(length!);
  await fill(about);
  return {
    about,
    size: size!,
    readInto: async (memory) => {
      let end = 0;
      for (let index = 0; index < places.length; index += 2) {
        const start = places[index]!;
        memory.fill(0, end, start);
        end = start + places[index + 1]!;
        await fill(memory.subarray(start, end));
      }
      memory.fill(0, end);
    },
  };
}
