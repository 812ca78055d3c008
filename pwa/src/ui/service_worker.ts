/** The app is kept on this phone by its service worker, which is no part of what a start reads. */
import { offer } from './version.ts';

export async function startServiceWorker(): Promise<void> {
  if (!('serviceWorker' in navigator) || !import.meta.env.PROD) return;
  const registration = await navigator.serviceWorker.register('/sw.js', { scope: '/', updateViaCache: 'none' });
  const watch = (found: ServiceWorker | null) =>
    found?.addEventListener('statechange', () => {
      if (found.state === 'installed' && navigator.serviceWorker.controller) offer(registration);
    });
  offer(registration);
  // The browser may have begun to fetch one before we listened.
  watch(registration.installing);
  registration.addEventListener('updatefound', () => watch(registration.installing));
  document.addEventListener('visibilitychange', () => {
    if (document.visibilityState === 'visible') registration.update().catch(() => undefined);
  });
}
