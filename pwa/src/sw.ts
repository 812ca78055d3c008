/** The service worker: the whole app is kept on the phone, and a new version waits for a person's word. */
import { createHandlerBoundToURL, precacheAndRoute, type PrecacheEntry } from 'workbox-precaching';
import { NavigationRoute, registerRoute } from 'workbox-routing';

interface WorkerScope {
  __WB_MANIFEST: (PrecacheEntry | string)[];
  skipWaiting(): Promise<void>;
  addEventListener(type: 'message', listener: (event: { data?: unknown }) => void): void;
}
declare const self: WorkerScope;

precacheAndRoute(self.__WB_MANIFEST);
// The office's answers are never kept here: the app's own store knows what it may rely on.
registerRoute(new NavigationRoute(createHandlerBoundToURL('index.html'), { denylist: [/^\/api(\/|$)/, /\/[^/?]+\.[^/?]+$/] }));

self.addEventListener('message', (event) => {
  if (event.data === 'use-new-version') void self.skipWaiting();
});
