/** Who is signed in on this phone. It stays, so that the app works from a cold start with no signal. */
import { database, dropMeta, putMeta, readMeta, type Session } from './database.ts';
import { clearToo, noteToo } from './second.ts';
import { write } from './write.ts';

export interface Held {
  changes: number;
  refused: number;
  photos: number;
}

/** What is on this phone only. */
export async function heldHere(): Promise<Held> {
  const [changes, refused, photos] = await Promise.all([
    database.outbox.count(), database.refused.count(), database.photos.where('arrived').equals(0).count(),
  ]);
  return { changes, refused, photos };
}

export const isHeld = (held: Held): boolean => held.changes + held.refused + held.photos > 0;

/**
 * Keep who signed in. Another person's unsent work is never handed over or wiped: signing in is then refused, in words.
 */
export async function keepSession(session: Session): Promise<{ kept: boolean; why: string }> {
  const before = await readMeta('session');
  const isAnother = before !== undefined && before.user.email !== session.user.email;
  if (isAnother && isHeld(await heldHere())) {
    return { kept: false, why: `Work of ${before.user.email} is on this phone only. Sign in as ${before.user.email} and let it reach the office first.` };
  }
  if (isAnother) await clearToo();
  await write(() =>
    database.transaction('rw', database.tables, async () => {
      if (isAnother) {
        for (const table of database.tables) if (table.name !== 'meta') await table.clear();
        await dropMeta('office_surveys');
      }
      await putMeta('session', session);
      await putMeta('needs_sign_in', false);
    }),
  );
  await noteToo({ t: 'session', session });
  return { kept: true, why: '' };
}

/** Note that the office wants a fresh sign-in; everything stays. */
export function askSignIn(): Promise<void> {
  return write(() => putMeta('needs_sign_in', true));
}

/** Sign out on this phone: only when nothing is held here alone. The surveys go with it. */
export async function forgetSession(): Promise<{ done: boolean; held: Held }> {
  const held = await heldHere();
  if (isHeld(held)) return { done: false, held };
  await clearToo();
  await write(() =>
    database.transaction('rw', database.tables, async () => {
      for (const table of database.tables) if (table.name !== 'meta') await table.clear();
      await dropMeta('session');
      await dropMeta('office_surveys');
      await dropMeta('needs_sign_in');
    }),
  );
  return { done: true, held };
}
