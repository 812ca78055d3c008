/** Signing in and out. */
import type { Session } from '../store/database.ts';
import { notTakenWords } from '../domain/words.ts';
import { meetEpoch } from '../store/exchange.ts';
import { forgetSession, heldHere, inTheWay, isHeld, keepSession, type Held } from '../store/session.ts';
import { ask } from './api.ts';
import { tellOffice } from './leaving.ts';
import { syncNow } from './loop.ts';
import { isSigningOut } from './signing_out.ts';

/** Sign in at the office. Returns null, or what went wrong in words. */
export async function signIn(email: string, password: string): Promise<string | null> {
  const why = await inTheWay(email);
  if (why !== null) return why;
  const told = await tellOffice();
  if (told.kind === 'not_yet')
    return `No answer from the office: ${told.why}. It has to hear first that somebody has signed out here.`;
  const reply = await ask<Session & { epoch: string; session: string }>('/api/session', {
    method: 'POST',
    body: { email, password },
  });
  if (reply.kind === 'none')
    return reply.isBusy ? notTakenWords(reply) : `${notTakenWords(reply)} The first sign-in needs a connection.`;
  if (reply.kind === 'sign_in') return 'The email or the password is wrong.';
  if (reply.kind === 'refused') return reply.problem.message;
  const kept = await keepSession({ user: reply.body.user, firm: reply.body.firm, id: reply.body.session });
  if (!kept.kept) {
    await ask('/api/session', { method: 'DELETE' });
    return kept.why;
  }
  await meetEpoch(reply.body.epoch);
  void syncNow();
  return null;
}

/**
 * Sign out. While anything is on this phone only it is refused, and the answer says what; with `isLocking` that work stays, locked to its person.
 *
 * Once this has resolved the phone is signed out whether the office has heard of it or not: that is remembered, and told first of all.
 */
export async function signOut(isLocking: boolean): Promise<{ done: boolean; held: Held }> {
  const before = await heldHere();
  if (isHeld(before) && !isLocking) return { done: false, held: before };
  isSigningOut.value = true;
  try {
    const answer = await forgetSession(isLocking);
    if (answer.done) await tellOffice();
    else isSigningOut.value = false;
    return answer;
  } catch (fault) {
    isSigningOut.value = false;
    throw fault;
  }
}
