/** What begins only once the first screen stands, and is no part of what a start reads. */
import { computed } from '@preact/signals';
import { onceWanted } from './engine/wanted.ts';
import { readNear } from './screens/near.ts';
import { onceDrawn } from './store/drawn.ts';
import { syncState } from './sync/loop.ts';
import { startServiceWorker } from './ui/service_worker.ts';

/** Start the engine when it is wanted, and read the screens that come next. */
export function startOnceWanted(startEngine: () => void): void {
  onceWanted(
    computed(() => syncState.value.isBusy),
    () => onceDrawn(startEngine),
  );
  void readNear();
}

/** Have the app kept on this phone. */
export function keepApp(): void {
  void startServiceWorker().catch((fault: unknown) => {
    // Without its worker the app still works while there is signal; the sync page tells whether it is kept on the phone.
    console.error('The app could not be kept on this phone:', fault);
  });
}
