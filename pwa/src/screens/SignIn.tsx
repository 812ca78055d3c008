import { useState } from 'preact/hooks';
import { SAVED_HERE, waitingWords } from '../domain/words.ts';
import { waits } from '../sync/loop.ts';
import { signIn } from '../sync/session.ts';
import { Notice } from '../ui/Notice.tsx';
import { Page } from '../ui/Page.tsx';
import { go, route } from '../ui/router.ts';
import { isInstalled } from '../ui/version.ts';
import { LockedNotice } from './Locked.tsx';

export function SignInScreen() {
  const now = waits.value;
  const [problem, setProblem] = useState<string | null>(null);
  const [isBusy, setBusy] = useState(false);
  const send = async (event: SubmitEvent) => {
    event.preventDefault();
    const form = new FormData(event.currentTarget as HTMLFormElement);
    setBusy(true);
    const wrong = await signIn(String(form.get('email') ?? '').trim(), String(form.get('password') ?? ''));
    setBusy(false);
    setProblem(wrong);
    // Whoever was quick may be somewhere else by now, and stays there.
    if (!wrong && route.peek().path[0] === 'sign-in') go('#/');
  };
  const waiting = now ? waitingWords(now.changes, now.photos) : '';
  return (
    <Page title="Wattwalk" {...(now?.session ? { back: '#/', backWords: 'surveys' } : {})}>
      <p>
        Walk through a house once, miss nothing, and leave knowing what it loses and which emitters fall short. With or
        without signal.
      </p>
      {now?.session && waiting && (
        <Notice tone="plain">
          <p>
            {SAVED_HERE}: {waiting}. All of it stays while you sign in.
          </p>
        </Notice>
      )}
      {now?.isLeaving && (
        <Notice tone="plain">
          <p>
            You are signed out on this phone. The office has still to hear of it, and is told first as soon as there is
            a connection.
          </p>
        </Notice>
      )}
      <LockedNotice />
      <form class="group" onSubmit={(event) => void send(event)}>
        <h2>Sign in</h2>
        <div class="field">
          <label class="field-label" for="email">
            Email
          </label>
          <input
            class="input"
            id="email"
            name="email"
            type="email"
            autocomplete="username"
            required
            defaultValue={now?.session?.user.email ?? ''}
          />
        </div>
        <div class="field">
          <label class="field-label" for="password">
            Password
          </label>
          <input class="input" id="password" name="password" type="password" autocomplete="current-password" required />
        </div>
        <p class="field-problem" role="alert">
          {problem}
        </p>
        <button type="submit" class="button button-main" disabled={isBusy}>
          {isBusy ? 'Asking the office' : 'Sign in'}
        </button>
      </form>
      {!now?.session && !isInstalled() && (
        <p class="field-notes">
          Put Wattwalk on the home screen before the first survey: a browser tab and the installed app keep separate
          stores on some phones.
        </p>
      )}
    </Page>
  );
}
