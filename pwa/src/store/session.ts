/** Who is signed in on this phone. It stays, so that the app works from a cold start with no signal. */
import { database, dropMeta, putMeta, readMeta, type Leaving, type Session } from './database.ts';
import { clearAll, lockHeld, unlock } from './locked.ts';
import { noteToo, rewriteToo } from './second.ts';
import { write } from './write.ts';

export interface Held {
  changes: number;
  refused: number;
  photos: number;
}

/** What is on this phone only. */
export async function heldHere(): Promise<Held> {
  const [changes, refused, photos] = await Promise.all([
    database.outbox.count(),
    database.refused.count(),
    database.photos.where('arrived').equals(0).count(),
  ]);
  return { changes, refused, photos };
}

export const isHeld = (held: Held): boolean => held.changes + held.refused + held.photos > 0;

/** Why this person cannot sign in here now, in words: somebody else has not signed out and would leave unsent work behind. Null when nothing is in the way. */
export async function inTheWay(email: string): Promise<string | null> {
  const before = await readMeta('session');
  if (!before || before.user.email === email.toLowerCase() || !isHeld(await heldHere())) return null;
  const { email: theirs } = before.user;
  return `Work of ${theirs} is on this phone only. Sign in as ${theirs} and let it reach the office first, or sign ${theirs} out under ‘What is where’: it stays here, locked.`;
}

/**
 * Keep who signed in, and give them what was locked for them here. Another person's unsent work is never handed over or wiped: while that
 * person has not signed out, signing in is refused, in words.
 */
export async function keepSession(session: Session): Promise<{ kept: boolean; why: string }> {
  const answer = await write(() =>
    database.transaction('rw', database.tables, async (transaction) => {
      const why = await inTheWay(session.user.email);
      if (why !== null) return { kept: false, why };
      const before = await readMeta('session');
      if (before !== undefined && before.user.email !== session.user.email) await clearAll();
      await unlock(transaction, session.user.email);
      await putMeta('session', session);
      await putMeta('needs_sign_in', false);
      return { kept: true, why: '' };
    }),
  );
  if (!answer.kept) return answer;
  if ((await readMeta('journal_is_past')) === undefined) await noteToo({ t: 'session', session });
  else await rewriteToo();
  return answer;
}

/** Note that the office wants a fresh sign-in; everything stays. */
export function askSignIn(): Promise<void> {
  return write(() =>
    database.transaction('rw', database.meta, async () => {
      if (await readMeta('session')) await putMeta('needs_sign_in', true);
    }),
  );
}

/**
 * Sign out on this phone, and remember that the office has to hear of it.
 *
 * The surveys go. What is on this phone only goes nowhere: without `isLocking` nothing is done while there is any, with it that work is
 * locked to its person. One transaction, so that a phone that dies in the middle has either signed out or not.
 */
export async function forgetSession(isLocking = false): Promise<{ done: boolean; held: Held }> {
  const answer = await write(() =>
    database.transaction('rw', database.tables, async () => {
      const [session, held] = [await readMeta('session'), await heldHere()];
      if (isHeld(held) && !(isLocking && session)) return { done: false, held };
      if (session) {
        await lockHeld(session.user.email);
        await putMeta('leaving', { session: session.id ?? null });
      }
      await clearAll();
      await dropMeta('session');
      await dropMeta('needs_sign_in');
      return { done: true, held };
    }),
  );
  // Should the phone die before this, the next start does it: what the journal holds is past from the transaction on.
  if (answer.done) await rewriteToo();
  return answer;
}

/** The sign-out that the office has still to hear of. */
export function leaving(): Promise<Leaving | undefined> {
  return readMeta('leaving');
}

/** The office has ended the session, or knew of none; what is left to do is the browser's cache. */
export function leftForGood(): Promise<void> {
  return write(() =>
    database.transaction('rw', database.meta, async () => {
      await dropMeta('leaving');
      await putMeta('cache_to_empty', true);
    }),
  );
}

/** Whether the browser's cache is still to be emptied of what somebody has left. */
export async function isCacheToEmpty(): Promise<boolean> {
  return (await readMeta('cache_to_empty')) === true;
}

export function cacheEmptied(): Promise<void> {
  return write(() => dropMeta('cache_to_empty'));
}
