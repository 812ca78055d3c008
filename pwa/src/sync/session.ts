/** Signing in and out. */
import type { Session } from '../store/database.ts';
import { OFFICE_BUSY, silenceWords } from '../domain/words.ts';
import { meetEpoch } from '../store/exchange.ts';
import { forgetSession, keepSession, type Held } from '../store/session.ts';
import { ask } from './api.ts';
import { syncNow } from './loop.ts';

/** Sign in at the office. Returns null, or what went wrong in words. */
export async function signIn(email: string, password: string): Promise<string | null> {
  const reply = await ask<Session & { epoch: string }>('/api/session', { method: 'POST', body: { email, password } });
  if (reply.kind === 'none') return reply.isBusy ? `${OFFICE_BUSY}. Try again in a moment.` : `${silenceWords(reply)} The first sign-in needs a connection.`;
  if (reply.kind === 'sign_in') return 'The email or the password is wrong.';
  if (reply.kind === 'refused') return reply.problem.message;
  const kept = await keepSession({ user: reply.body.user, firm: reply.body.firm });
  if (!kept.kept) {
    await ask('/api/session', { method: 'DELETE' });
    return kept.why;
  }
  await meetEpoch(reply.body.epoch);
  void syncNow();
  return null;
}

/** Sign out. Refused while anything is on this phone only: the answer says what. */
export async function signOut(): Promise<{ done: boolean; held: Held }> {
  const answer = await forgetSession();
  if (answer.done) await ask('/api/session', { method: 'DELETE', patience: 5_000 });
  return answer;
}
