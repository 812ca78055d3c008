/** A new version of the app is offered, never forced: nothing reloads under a person's hands. */
import { signal } from '@preact/signals';

/** Whether a new version waits on this phone, or was asked for and is being put in place. */
export const newVersion = signal<'none' | 'waits' | 'asked for'>('none');

/** Milliseconds after which a version that was asked for is asked for again. */
const ASK_AGAIN_MS = 2_000;

let waiting: ServiceWorker | null = null;
let isAsked = false;

function offer(registration: ServiceWorkerRegistration): void {
  if (!registration.waiting) return;
  waiting = registration.waiting;
  if (newVersion.peek() === 'none') newVersion.value = 'waits';
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

/**
 * Put the new version in place and come up in it.
 *
 * Chromium puts it off, for minutes, when something is asked of the worker before in the moment in which that one is to go. It goes when
 * it has been asked for one thing more and is then left in peace.
 */
export function useNewVersion(): void {
  const isAgain = isAsked;
  isAsked = true;
  newVersion.value = 'asked for';
  if (isAgain) navigator.serviceWorker.controller?.postMessage('nothing');
  if (waiting?.state === 'installed') {
    waiting.postMessage('use-new-version');
    setTimeout(useNewVersion, ASK_AGAIN_MS);
    // Another tab has brought it in: this one has only to come up anew.
  } else if (waiting?.state !== 'activating') location.reload();
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
