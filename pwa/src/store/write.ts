/** The one way in which anything is written: tried once more on a fresh connection, then refused aloud. */
import { database } from './database.ts';

/** Nothing was stored. The screen keeps what was typed and says so. */
export class NotSaved extends Error {
  override readonly name = 'NotSaved';

  constructor(
    readonly reason: string,
    cause: unknown,
  ) {
    super(`Not saved: ${reason}`, { cause });
  }
}

/** Whoever an exchange was begun for has signed out since: nothing of its answers is put into this phone any more. */
export class Left extends Error {
  override readonly name = 'Left';
}

function isFull(error: unknown): boolean {
  const seen = new Set<unknown>();
  let present: unknown = error;
  while (present instanceof Error && !seen.has(present)) {
    seen.add(present);
    if (present.name === 'QuotaExceededError' || /quota/i.test(present.message)) return true;
    present = (present as { inner?: unknown }).inner ?? present.cause;
  }
  return false;
}

const FULL =
  'the storage of this phone is full. Free some room: apps and pictures that are not needed, or surveys here that are at the office already. Then try again.';

/** A fault of this program, which a fresh connection would only repeat. */
function isOurFault(error: unknown): boolean {
  return error instanceof TypeError || error instanceof RangeError || error instanceof ReferenceError;
}

/**
 * Run `work`, a whole transaction, and answer with its result.
 *
 * A browser may close the connection while the app sleeps in the background, so a first failure reopens it and tries again.
 * A transaction that failed has written nothing, which makes the second try safe.
 */
export async function write<T>(work: () => Promise<T>): Promise<T> {
  try {
    return await work();
  } catch (first) {
    if (isFull(first)) throw new NotSaved(FULL, first);
    if (isOurFault(first) || first instanceof Left) throw first;
    try {
      database.close({ disableAutoOpen: false });
      await database.open();
      return await work();
    } catch (second) {
      if (isFull(second)) throw new NotSaved(FULL, second);
      // The library says the browser's words twice, once with their name.
      const words = (second instanceof Error ? second.message : String(second))
        .split('\n')[0]!
        .trim()
        .replace(/\.$/, '');
      throw new NotSaved(`the storage of this phone did not take it (${words}).`, second);
    }
  }
}
