/**
 * The memory of a started engine as it is kept on the phone: without its empty stretches, which are half of it.
 *
 * It begins with a mark, the size of the whole and the number of stretches; then comes where each begins and how long it is, all as
 * 32-bit numbers; then the stretches themselves, one after the other.
 */

const MARK = 0x57574d31;
/** Stretches shorter than this are kept although they are empty: each costs a step. */
const BLOCK_BYTES = 65_536;
const HEAD_NUMBERS = 3;

function isEmpty(memory: Uint8Array, start: number, end: number): boolean {
  for (let place = start; place < end; place += 1) if (memory[place] !== 0) return false;
  return true;
}

/** What is to be kept of a memory, in pieces that follow each other. */
export function packed(memory: Uint8Array<ArrayBuffer>): Uint8Array<ArrayBuffer>[] {
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
    stretches.length,
    ...stretches.flatMap(({ start, length }) => [start, length]),
  ]);
  return [new Uint8Array(head.buffer), ...stretches.map(({ start, length }) => memory.subarray(start, start + length))];
}

/**
 * The whole memory again, put in place as it comes.
 *
 * @throws When what was kept is not a memory, or not all of it.
 */
export async function unpacked(kept: ReadableStream<Uint8Array<ArrayBuffer>>): Promise<Uint8Array<ArrayBuffer>> {
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
  const [mark, size, count] = await numbers(HEAD_NUMBERS);
  if (mark !== MARK) throw new Error('What was kept is no memory of the engine.');
  const places = await numbers(2 * count!);
  const memory = new Uint8Array(size!);
  for (let index = 0; index < places.length; index += 2)
    await fill(memory.subarray(places[index]!, places[index]! + places[index + 1]!));
  return memory;
}
