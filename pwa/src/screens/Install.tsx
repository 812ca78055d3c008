/** The offer to install: once on each device, before the first survey, since a tab and the installed app keep stores of their own. */
import { useState } from 'preact/hooks';
import { INSTALL_ANSWERED, keepSetting, readSetting } from '../store/setting.ts';
import { Notice } from '../ui/Notice.tsx';
import { installOffer, isInstalled } from '../ui/version.ts';

/** How it is done where the browser does not do it by itself, by what one sees. */
export function InstallWays() {
  return (
    <ul class="dashes">
      <li>
        Three dots or lines at the top or foot of the browser: open that menu, then 'Install app', 'Add app to Home
        screen' or 'Add to Home screen'.
      </li>
      <li>A square with an arrow coming out of it: tap it, scroll down, then 'Add to Home Screen'.</li>
      <li>On a laptop: the small screen with an arrow at the end of the address line.</li>
    </ul>
  );
}

/** Asked once: an answer, whichever, is kept on this device. Afterwards the ways stand under 'What is where'. */
export function InstallOnce() {
  const [isAnswered, setAnswered] = useState(() => readSetting(INSTALL_ANSWERED) !== null);
  if (isAnswered || isInstalled()) return null;
  const answered = () => {
    keepSetting(INSTALL_ANSWERED, new Date().toISOString());
    setAnswered(true);
  };
  const offer = installOffer.value;
  return (
    <Notice tone="plain">
      <p>
        <b>Put Wattwalk on the home screen before the first survey.</b> It then opens without signal, and what you enter
        stays in one place: on some phones a browser tab and the installed app keep separate stores.
      </p>
      {offer ? (
        <div class="buttons">
          <button
            type="button"
            class="button"
            onClick={() => {
              void offer.prompt();
              installOffer.value = null;
              answered();
            }}
          >
            Install
          </button>
          <button type="button" class="button button-quiet" onClick={answered}>
            Not on this device
          </button>
        </div>
      ) : (
        <>
          <InstallWays />
          <div class="buttons">
            <button type="button" class="button" onClick={answered}>
              Understood
            </button>
          </div>
        </>
      )}
    </Notice>
  );
}
