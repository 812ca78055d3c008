/** A new version of the app is offered, never forced: nothing reloads under a person's hands. */
import { signal } from '@preact/signals';

/** True while a new version waits on this phone. */
export const newVersion = signal(false);

/** Notes, for one tab and across its reloads, that a person asked for the new version: how often it was tried to bring it in. */
const ASKED = 'wattwalk-new-version';
const MOST_TRIES = 4;
/** Milliseconds for the browser to come to rest after a page was opened, and to change over. */
const REST_MS = 500;
const CHANGE_MS = 4_000;

/** Say that a new version waits, where one does. */
export function offer(registration: ServiceWorkerRegistration): void {
  if (registration.waiting) newVersion.value = true;
}

/** Leave this page for the new version; what is being stored must be stored before. Only this tab comes up anew: others go on with what they have in memory. */
export function useNewVersion(): void {
  sessionStorage.setItem(ASKED, '0');
  location.reload();
}

/** Whether a person has asked for the new version just now, and this page was opened to bring it in. */
export const isNewVersionAsked = (): boolean => sessionStorage.getItem(ASKED) !== null;

/**
 * Let the new version take over, on a page that does nothing else, and come up in it. Resolves when there is nothing to bring in: this page is of
 * the new version already, or the browser would not change over, and the offer stands again.
 *
 * Chromium puts the change off, for minutes, when anything at all is asked of the worker before in the moment in which that one is to go:
 * a page that starts its own workers just then is enough. A page opened anew makes it try again.
 */
export async function bringInNewVersion(place: HTMLElement): Promise<void> {
  const tries = Number(sessionStorage.getItem(ASKED));
  const waiting = (await navigator.serviceWorker?.getRegistration())?.waiting;
  if (!waiting || tries >= MOST_TRIES) {
    sessionStorage.removeItem(ASKED);
    return;
  }
  sessionStorage.setItem(ASKED, String(tries + 1));
  const words = document.createElement('p');
  words.className = 'content';
  words.setAttribute('role', 'status');
  words.textContent = 'Putting the new version in place. Everything saved stays.';
  place.replaceChildren(words);
  const changed = new Promise((done) =>
    navigator.serviceWorker.addEventListener('controllerchange', done, { once: true }),
  );
  await pause(REST_MS);
  waiting.postMessage('use-new-version');
  await Promise.race([changed, pause(CHANGE_MS)]);
  location.reload();
  return new Promise(() => {});
}

const pause = (ms: number) => new Promise((done) => setTimeout(done, ms));

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
