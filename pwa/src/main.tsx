import { computed } from '@preact/signals';
import { render } from 'preact';
import { App } from './app.tsx';
import { startEngine } from './engine/live.ts';
import { onceWanted } from './engine/wanted.ts';
import { openAhead } from './screens/current.tsx';
import { watchDoor } from './screens/door.ts';
import { isDrawnAhead } from './screens/registry.tsx';
import { onceDrawn } from './store/drawn.ts';
import { forgetFirstReading } from './store/first_reading.ts';
import { startTheme } from './store/theme.ts';
import './styles/main.css';
import './styles/office.css';
import './styles/outside.css';
import './styles/photos.css';
import './styles/routes.css';
import { startSync, syncState, waits } from './sync/loop.ts';
import { startBadge } from './ui/badge.ts';
import { keepPlace } from './ui/place.ts';
import { bringInNewVersion, isNewVersionAsked, startServiceWorker, watchInstall } from './ui/version.ts';

const place = document.getElementById('app')!;

const isExchanging = computed(() => syncState.value.isBusy);

function start(): void {
  openAhead(isDrawnAhead);
  watchInstall();
  render(<App />, place);
  // From here on the store itself is asked.
  forgetFirstReading();
  watchDoor();
  keepPlace(place);
  startSync();
  startBadge();
  startEngine(
    computed(() => Boolean(waits.value?.session)),
    (work) => onceDrawn(() => onceWanted(isExchanging, () => onceDrawn(work))),
  );
  onceDrawn(
    () =>
      void startServiceWorker().catch((fault: unknown) => {
        // Without its worker the app still works while there is signal; the sync page tells whether it is kept on the phone.
        console.error('The app could not be kept on this phone:', fault);
      }),
  );
}

startTheme();
if (isNewVersionAsked())
  void bringInNewVersion(place)
    .catch((fault: unknown) => console.error('The new version could not be brought in:', fault))
    .then(() => {
      place.replaceChildren();
      start();
    });
else start();
