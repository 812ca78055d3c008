import { computed } from '@preact/signals';
import { render } from 'preact';
import { App } from './app.tsx';
import { startEngine } from './engine/live.ts';
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
import { startSync, waits } from './sync/loop.ts';
import { startBadge } from './ui/badge.ts';
import { keepPlace } from './ui/place.ts';
import { bringInNewVersion, isNewVersionAsked, watchInstall } from './ui/version.ts';

const place = document.getElementById('app')!;

const afterwards = () => import('./afterwards.ts');

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
    // What cannot be read is no reason to do without the engine.
    (work) => onceDrawn(() => void afterwards().then((then) => then.startOnceWanted(work), work)),
  );
  onceDrawn(() => void afterwards().then((then) => then.keepApp()));
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
