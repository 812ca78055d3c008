/**
 * The second store: the journal of edits and photos beside the database. Its program is read only when there is something for it,
 * so that the first screen does not wait for it.
 */
import { signal } from '@preact/signals';
import type { Compared } from './journal/compare.ts';
import type { Line } from './journal/lines.ts';

const read = () =>
  Promise.all([import('./journal/client.ts'), import('./journal/compare.ts')]).then(([client, compare]) => ({
    ...client,
    ...compare,
  }));
let loading: ReturnType<typeof read> | null = null;

export function journal(): ReturnType<typeof read> {
  loading ??= read().catch((fault: unknown) => {
    loading = null;
    throw fault;
  });
  return loading;
}

/** Note what the database has just taken. Resolves when it stands in the journal too, or when the journal has failed and says so. */
export async function noteToo(...lines: Line[]): Promise<void> {
  try {
    await (await journal()).note(lines);
  } catch (fault) {
    // Its program could not be read. The database has the edit; the next start compares and makes up for it.
    console.error('The journal is not there:', fault);
  }
}

/** A photo's bytes are kept a second time until the office has them. */
export async function keepPhotoToo(sha256: string, bytes: ArrayBuffer): Promise<void> {
  await attempt(async (to) => to.order({ do: 'keepPhoto', sha256, bytes }));
}

export async function dropPhotosToo(hashes: readonly string[]): Promise<void> {
  if (hashes.length > 0) await attempt(async (to) => to.order({ do: 'dropPhotos', hashes }));
}

/** The second copy of a photo's bytes, or null. */
export async function photoFromJournal(sha256: string): Promise<ArrayBuffer | null> {
  return (await attempt((to) => to.order<ArrayBuffer | null>({ do: 'photo', sha256 }))) ?? null;
}

/** Somebody has signed out, or another person in: the journal forgets what it held, and keeps what is locked. */
export async function rewriteToo(): Promise<void> {
  await attempt(async (to) => {
    await to.rewriteNow();
    await to.tidyPhotos();
  });
}

async function attempt<T>(work: (to: Awaited<ReturnType<typeof read>>) => Promise<T>): Promise<T | undefined> {
  try {
    const to = await journal();
    if (!to.hasJournal()) return undefined;
    try {
      return await work(to);
    } catch (fault) {
      to.fell(fault);
    }
  } catch (fault) {
    console.error('The journal is not there:', fault);
  }
  return undefined;
}

/** What the comparison at this start came to; null until it is done. */
export const compared = signal<Compared | null>(null);

/** Whether the journal has still to say what it holds, before anything here is called empty; asks for it at once. */
export function isUncompared(): boolean {
  if (compared.value) return false;
  void compareStores();
  return true;
}

/** Compare database and journal, once for each start of the app. */
export async function compareStores(): Promise<void> {
  if (compared.peek()) return;
  try {
    compared.value = await (await journal()).compareOnce();
  } catch (fault) {
    console.error('The journal is not there:', fault);
    compared.value = { restored: [], torn_bytes: 0, damaged: 0 };
  }
}
