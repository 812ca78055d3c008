/** The number on the app's icon: what is on this phone only, where the browser can show it. */
import { effect } from '@preact/signals';
import { waits } from '../sync/loop.ts';

interface Badged {
  setAppBadge?(count: number): Promise<void>;
  clearAppBadge?(): Promise<void>;
}

/** Keep the icon's number at what waits for the office, for as long as the app runs; none while nothing waits. */
export function startBadge(): void {
  const icon = navigator as Badged;
  let shown: number | null = null;
  effect(() => {
    const now = waits.value;
    if (!now) return;
    const count = now.session ? now.changes + now.photos : 0;
    if (count === shown) return;
    shown = count;
    const set = count > 0 ? icon.setAppBadge?.(count) : icon.clearAppBadge?.();
    // A phone that shows no number is no fault of the app's: the line at the top says the same.
    set?.catch((fault: unknown) => console.info('No number on the icon:', fault));
  });
}
