/**
 * The addresses of the app: everything else is found behind their '#' (`router.ts`). The one list of them: the build writes it out for the
 * office, which answers any other with 'not found', and the service worker and the manifest go by it too.
 */
export const ADDRESSES: readonly string[] = ['/', '/index.html'];

/** Where the app begins. */
export const START = '/';

export const isOurs = (path: string): boolean => ADDRESSES.includes(path);
