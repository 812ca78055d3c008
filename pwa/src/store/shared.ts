/** Pictures that another app shared: the service worker has kept them, and they stay until a person has said into which survey they go. */
import { FILE_NAME, SHARED_CACHE } from '../domain/shared.ts';

export interface SharedPicture {
  key: string;
  name: string;
  bytes: Blob;
}

/** What is kept, in the order in which it came; nothing where the browser has no such store. */
export async function sharedPictures(): Promise<SharedPicture[]> {
  if (!('caches' in globalThis)) return [];
  const cache = await caches.open(SHARED_CACHE);
  return Promise.all(
    (await cache.keys()).map(async (request) => {
      const answer = await cache.match(request);
      return {
        key: request.url,
        name: decodeURIComponent(answer?.headers.get(FILE_NAME) ?? ''),
        bytes: (await answer?.blob()) ?? new Blob(),
      };
    }),
  );
}

/** How many are kept: their bytes are not read for it. */
export async function countShared(): Promise<number> {
  if (!('caches' in globalThis) || !(await caches.has(SHARED_CACHE))) return 0;
  return (await (await caches.open(SHARED_CACHE)).keys()).length;
}

/** Let go of one: it is in a survey, or a person does not want it. */
export async function dropShared(key: string): Promise<void> {
  await (await caches.open(SHARED_CACHE)).delete(key);
}

/** Let go of all. */
export async function dropAllShared(): Promise<void> {
  if ('caches' in globalThis) await caches.delete(SHARED_CACHE);
}
