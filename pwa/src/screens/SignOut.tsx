/** Signing out: the surveys go, unsent work is counted, warned of, and stays locked if one leaves all the same. */
import { useState } from 'preact/hooks';
import { heldWords } from '../domain/words.ts';
import { dropAllShared } from '../store/shared.ts';
import { allKept, keep } from '../forms/saving.tsx';
import type { Held } from '../store/session.ts';
import { signOut } from '../sync/session.ts';
import { Confirm } from '../ui/Confirm.tsx';
import { Notice } from '../ui/Notice.tsx';
import { useSharedCount } from '../ui/shared.ts';
import { shutPage } from './door.ts';

export function SignOut() {
  const [held, setHeld] = useState<Held | null>(null);
  const shared = useSharedCount();
  const leave = async (isLocking: boolean) => {
    await allKept();
    await keep(async () => {
      const answer = await signOut(isLocking);
      if (answer.done) {
        // Whoever signs in next has no business with them.
        await dropAllShared();
        shutPage();
      } else setHeld(answer.held);
    }, false);
  };
  if (!held)
    return (
      <Confirm
        words="Sign out"
        question={`Sign out and take the surveys off this phone? They stay at the office.${shared > 0 ? ' Shared pictures that are in no survey yet go too.' : ''}`}
        yes="Sign out"
        onYes={() => void leave(false)}
      />
    );
  return (
    <section aria-label="Signing out">
      <Notice tone="warning">
        <p>
          You stay signed in. On this phone only: {heldWords(held)}. Let it reach the office, or save a copy to a file
          first.
        </p>
        <p>
          If you sign out all the same, it stays on this phone, locked: nobody else can see it here. Sign in on this
          phone again, with a connection, and it comes back and is sent.
        </p>
        <div class="buttons">
          <button type="button" class="button" onClick={() => setHeld(null)}>
            Stay signed in
          </button>
          <button type="button" class="button button-stop" onClick={() => void leave(true)}>
            Sign out and leave it locked
          </button>
        </div>
      </Notice>
    </section>
  );
}
