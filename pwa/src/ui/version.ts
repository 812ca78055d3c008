/** A new version of the app is offered, never forced: nothing reloads under a person's hands. */
import { signal } from '@preact/signals';

/** True while a new version waits on this phone. */
export const newVersion = signal(false);

let waiting: ServiceWorker | null = null;
let isAsked = false;

function offer(registration: ServiceWorkerRegistration): void {
  if (!registration.waiting) return;
  waiting = registration.waiting;
  newVersion.value = true;
}

export async function startServiceWorker(): Promise<void> {
  if (!('serviceWorker' in navigator) || !import.meta.env.PROD) return;
  navigator.serviceWorker.addEventListener('controllerchange', () => {
    // Only the tab where somebody said yes reloads; the others go on with what they have in memory.
    if (isAsked) location.reload();
  });
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

export function useNewVersion(): void {
  isAsked = true;
  if (waiting?.state === 'installed') waiting.postMessage('use-new-version');
  // Another tab has brought it in: this one has only to come up anew.
  else location.reload();
}

/** The browser's own offer to install, kept until somebody asks for it. */
interface InstallEvent extends Event {
  prompt(): Promise<unknown>;
}
export const installOffer = signal<InstallEvent | null>(null);

export function watchInstall(): void {
  addEventListener('beforeinstallprompt', (event) => {
    event.preventDefault();
    installOffer.value = event as InstallEvent;
  });
  addEventListener('appinstalled', () => (installOffer.value = null));
}

export const isInstalled = (): boolean => matchMedia('(display-mode: standalone)').matches;
