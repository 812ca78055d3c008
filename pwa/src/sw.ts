/** The service worker: the whole app is kept on the phone, and a new version waits for a person's word. */
import { PrecacheController, PrecacheRoute, type PrecacheEntry } from 'workbox-precaching';
import { NavigationRoute, registerRoute } from 'workbox-routing';

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
const FIRST_PAGES = 'first-page-';
const files = self.__WB_MANIFEST;
const page = files.find((file): file is PrecacheEntry => typeof file !== 'string' && file.url === PAGE);
const firstPage = `${FIRST_PAGES}${page?.revision}`;

const kept = new PrecacheController();
kept.addToCacheList(files);
registerRoute(new PrecacheRoute(kept));
// The office's answers are never kept here: the app's own store knows what it may rely on.
registerRoute(new NavigationRoute(kept.createHandlerBoundToURL(PAGE), { denylist: [/^\/api(\/|$)/, /\/[^/?]+\.[^/?]+$/] }));

/**
 * Where the browser can, it takes this version's page and hashed files out of the caches by itself: this worker need not be woken first,
 * which is a good part of a cold start. What is not found there goes the usual way.
 */
async function keepFirstPage(event: Installing): Promise<void> {
  const answer = await kept.matchPrecache(PAGE);
  if (event.addRoutes && answer) await (await caches.open(firstPage)).put('/', answer);
}

self.addEventListener('install', (event) => {
  event.waitUntil(kept.install(event as unknown as Parameters<typeof kept.install>[0]).then(() => keepFirstPage(event)));
  const routes = event.addRoutes?.([
    { condition: { urlPattern: { pathname: '/' }, requestMode: 'navigate' }, source: { cacheName: firstPage } },
    { condition: { urlPattern: { pathname: '/assets/*' } }, source: { cacheName: kept.strategy.cacheName } },
  ]);
  if (routes) event.waitUntil(routes.catch((fault: unknown) => console.error('Every file goes through the worker:', fault)));
});

self.addEventListener('activate', (event) => {
  const forgetOlder = async () => {
    // Another tab may go on with the version before, whose later screens are read from these files: they go with the next new version.
    if ((await self.clients.matchAll({ type: 'window', includeUncontrolled: true })).length > 1) return;
    await kept.activate(event as unknown as Parameters<typeof kept.activate>[0]);
    for (const name of await caches.keys()) if (name.startsWith(FIRST_PAGES) && name !== firstPage) await caches.delete(name);
  };
  event.waitUntil(forgetOlder());
});

self.addEventListener('message', (event) => {
  if (event.data === 'use-new-version') void self.skipWaiting();
});
