import { computed } from '@preact/signals';
import { render } from 'preact';
import { App } from './app.tsx';
import { startEngine } from './engine/live.ts';
import { openAhead } from './screens/current.tsx';
import { forgetFirstReading } from './store/first_reading.ts';
import { startTheme } from './store/theme.ts';
import './styles/main.css';
import './styles/office.css';
import './styles/outside.css';
import './styles/photos.css';
import './styles/routes.css';
import { onceDrawn, startSync, waits } from './sync/loop.ts';
import { startServiceWorker, watchInstall } from './ui/version.ts';

startTheme();
openAhead();
watchInstall();
render(<App />, document.getElementById('app')!);
// From here on the store itself is asked.
forgetFirstReading();
startSync();
startEngine(computed(() => Boolean(waits.value?.session)));
onceDrawn(() => void startServiceWorker().catch((fault: unknown) => {
  // Without its worker the app still works while there is signal; the sync page tells whether it is kept on the phone.
  console.error('The app could not be kept on this phone:', fault);
}));
