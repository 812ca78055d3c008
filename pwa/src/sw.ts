/** The service worker: the whole app is kept on the phone, and a new version waits for a person's word. */
import { PrecacheController, PrecacheRoute, type PrecacheEntry } from 'workbox-precaching';
import { registerRoute } from 'workbox-routing';
import { FILE_NAME, SHARED, SHARED_CACHE, SHARED_FIELD } from './domain/shared.ts';
import { isOurs, START } from './ui/addresses.ts';

interface Lasting {
  waitUntil(work: Promise<unknown>): void;
}
interface Installing extends Lasting {
  addRoutes?(routes: { condition: unknown; source: unknown }[]): Promise<void>;
}
interface WorkerScope {
  __WB_MANIFEST: (PrecacheEntry | string)[];
  clients: { matchAll(options: { type: 'window'; includeUncontrolled: boolean }): Promise<unknown[]> };
  skipWaiting(): Promise<void>;
  addEventListener(type: 'message', listener: (event: { data?: unknown }) => void): void;
  addEventListener(type: 'install', listener: (event: Installing) => void): void;
  addEventListener(type: 'activate', listener: (event: Lasting) => void): void;
}
declare const self: WorkerScope;

const PAGE = 'index.html';
/** Kept by their plain addresses beside the page. */
const BESIDE_IT = /^(icons\/|manifest\.webmanifest$)/;
const FIRST_PAGES = 'first-page-';
const files = self.__WB_MANIFEST;
const page = files.find((file): file is PrecacheEntry => typeof file !== 'string' && file.url === PAGE);
const firstPage = `${FIRST_PAGES}${page?.revision}`;

const kept = new PrecacheController();
kept.addToCacheList(files);
registerRoute(new PrecacheRoute(kept));
// The office's answers are never kept here: the app's own store knows what it may rely on.
const NO_PAGES = [/^\/api(\/|$)/, /\/[^/]+\.[^/]+$/];
const thePage = kept.createHandlerBoundToURL(PAGE);
registerRoute(
  ({ request, url }) => request.mode === 'navigate' && !NO_PAGES.some((pattern) => pattern.test(url.pathname)),
  async (asked) => {
    const answer = await thePage(asked);
    // The page says itself that there is nothing at this address; its status says so too, as the office's does.
    return isOurs(asked.url.pathname) ? answer : new Response(answer.body, { status: 404, headers: answer.headers });
  },
);

/** Pictures that another app shares: each is kept before the page is opened that asks into which survey they go. What cannot be kept is said there. */
registerRoute(
  ({ url }) => url.pathname === SHARED,
  async ({ request }) => {
    let [come, kept] = [0, 0];
    try {
      const files = (await request.formData()).getAll(SHARED_FIELD).filter((item) => item instanceof File);
      come = files.length;
      const cache = await caches.open(SHARED_CACHE);
      for (const file of files) {
        const headers = { 'Content-Type': file.type, [FILE_NAME]: encodeURIComponent(file.name) };
        await cache.put(`${SHARED}/${crypto.randomUUID()}`, new Response(file, { headers }));
        kept += 1;
      }
    } catch (fault) {
      console.error('What was shared could not be kept:', fault);
    }
    const missing = kept < Math.max(come, 1) ? `?missing=${Math.max(come, 1) - kept}` : '';
    return Response.redirect(`${START}#/shared${missing}`, 303);
  },
  'POST',
);

/**
 * Where the browser can, it takes this version's page and hashed files out of the caches by itself, and asks the office by itself: this
 * worker need not be woken first, which is a good part of a cold start, and is left in peace. A new version cannot take over from a
 * worker that is being asked for something, and the browser may then put it off by minutes. What is not found there goes the usual way.
 */
async function keepFirstPage(event: Installing): Promise<void> {
  if (!event.addRoutes) return;
  const cache = await caches.open(firstPage);
  const names = files
    .map((file) => (typeof file === 'string' ? file : file.url))
    .filter((name) => name === PAGE || BESIDE_IT.test(name));
  await Promise.all(
    names.map(async (name) => {
      const answer = await kept.matchPrecache(name);
      if (answer) await cache.put(name === PAGE ? '/' : `/${name}`, answer);
    }),
  );
}

self.addEventListener('install', (event) => {
  event.waitUntil(
    kept.install(event as unknown as Parameters<typeof kept.install>[0]).then(() => keepFirstPage(event)),
  );
  const routes = event.addRoutes?.([
    { condition: { urlPattern: { pathname: '/' }, requestMode: 'navigate' }, source: { cacheName: firstPage } },
    ...['/icons/*', '/manifest.webmanifest'].map((pathname) => ({
      condition: { urlPattern: { pathname } },
      source: { cacheName: firstPage },
    })),
    ...['/assets/*', '/engine/*', '/python-*/*'].map((pathname) => ({
      condition: { urlPattern: { pathname } },
      source: { cacheName: kept.strategy.cacheName },
    })),
    { condition: { urlPattern: { pathname: '/api/*' } }, source: 'network' },
  ]);
  if (routes)
    event.waitUntil(routes.catch((fault: unknown) => console.error('Every file goes through the worker:', fault)));
});

self.addEventListener('activate', (event) => {
  const forgetOlder = async () => {
    // Another tab may go on with the version before, whose later screens are read from these files: they go with the next new version.
    if ((await self.clients.matchAll({ type: 'window', includeUncontrolled: true })).length > 1) return;
    await kept.activate(event as unknown as Parameters<typeof kept.activate>[0]);
    for (const name of await caches.keys())
      if (name.startsWith(FIRST_PAGES) && name !== firstPage) await caches.delete(name);
  };
  event.waitUntil(forgetOlder());
});

self.addEventListener('message', (event) => {
  if (event.data === 'use-new-version') void self.skipWaiting();
});
