/** A sign-out reaches the office before anything else is asked with the old cookie, which a page cannot take away by itself. */
import { cacheEmptied, isCacheToEmpty, leaving, leftForGood } from '../store/session.ts';
import { ask } from './api.ts';

/** Milliseconds for the office's answer. */
const PATIENCE = 8_000;
/** Milliseconds for the answer that comes when the browser's cache is empty. */
const EMPTYING = 180_000;

export type Told =
  /** Nobody has left without the office's hearing of it. */
  { kind: 'nothing' } | { kind: 'told' } | { kind: 'not_yet'; why: string };

/** Tell the office that somebody has signed out here, if it has still to hear of it. Two tabs may tell it at once: there is nothing left to end the second time. */
export async function tellOffice(): Promise<Told> {
  const left = await leaving();
  if (!left) return { kind: 'nothing' };
  // By its name, so that a request that arrives late cannot end the session of whoever has signed in since.
  const reply = await ask<{ ended: boolean }>(
    `/api/session${left.session === null ? '' : `?session=${left.session}`}`,
    { method: 'DELETE', patience: PATIENCE },
  );
  const isHeard = reply.kind === 'sign_in' || (reply.kind === 'ok' && typeof reply.body?.ended === 'boolean');
  if (isHeard) {
    await leftForGood();
    return { kind: 'told' };
  }
  return {
    kind: 'not_yet',
    why:
      reply.kind === 'none'
        ? reply.why
        : reply.kind === 'refused'
          ? reply.problem.message
          : 'the answer was not of the office',
  };
}

let emptying: Promise<void> | null = null;

/**
 * Have the browser's cache emptied of what came from the office, if somebody has left since it was.
 *
 * The office's answers are not kept there; this is for what an earlier version let it keep. Nothing may wait for it: Chromium holds the
 * answer back until its cache is empty, which takes long where the cache is large or the phone is busy.
 */
export function emptyCache(): Promise<void> {
  emptying ??= (async () => {
    if (!(await isCacheToEmpty())) return;
    const reply = await ask('/api/cache', { method: 'DELETE', patience: EMPTYING });
    if (reply.kind !== 'none') await cacheEmptied();
  })().finally(() => (emptying = null));
  return emptying;
}
