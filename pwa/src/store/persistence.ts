/** Asking the browser to keep our store, and how much room there is. */
import { putMeta, readMeta } from './database.ts';

let asked = false;

/** Ask once, at the first save, that the browser never clears this store by itself; keep the answer to show it. */
export async function askToPersist(): Promise<void> {
  if (asked) return;
  asked = true;
  const storage = globalThis.navigator?.storage;
  try {
    const granted = storage?.persist ? await storage.persist() : undefined;
    await putMeta('persistent', granted === undefined ? 'unknown' : granted ? 'granted' : 'refused');
  } catch {
    // The question is a courtesy of the browser's: the edit that it followed is stored either way, and we ask again next time.
    asked = false;
  }
}

export interface Room {
  persistent: 'granted' | 'refused' | 'unknown';
  used_bytes: number | null;
  quota_bytes: number | null;
}

export async function roomLeft(): Promise<Room> {
  const estimate = await globalThis.navigator?.storage?.estimate?.();
  return {
    persistent: (await readMeta('persistent')) ?? 'unknown',
    used_bytes: estimate?.usage ?? null,
    quota_bytes: estimate?.quota ?? null,
  };
}
