/** One line that says what is where, on every screen. */
import { atTheOffice, SAVED_HERE, silenceAtRest, silenceBriefly, waitingWords } from '../domain/words.ts';
import { syncState, waits } from '../sync/loop.ts';
import { link } from './router.ts';

export function StatusStrip() {
  const now = waits.value;
  const { isBusy, last, last_at: lastAt, fault } = syncState.value;
  if (!now?.session) return null;
  const waiting = waitingWords(now.changes, now.photos);
  let words: string;
  let state: 'here' | 'office' | 'trouble';
  if (now.needsSignIn) {
    words = `Sign in again to send. ${SAVED_HERE}${waiting ? `, ${waiting}` : ''}`;
    state = 'trouble';
  } else if (fault) {
    words = fault;
    state = 'trouble';
  } else if (last?.kind === 'done' && last.trouble) {
    words = `${last.trouble} ${SAVED_HERE}`;
    state = 'trouble';
  } else if (waiting) {
    words = `${SAVED_HERE} · ${waiting}${last?.kind === 'no_answer' ? ` · ${silenceBriefly(last)}` : isBusy ? ' · sending' : ''}`;
    state = 'here';
  } else if (last?.kind === 'done' && lastAt) {
    words = atTheOffice(lastAt);
    state = 'office';
  } else if (last?.kind === 'no_answer') {
    words = silenceAtRest(last);
    state = 'here';
  } else {
    words = isBusy ? 'Asking the office' : 'Nothing waiting';
    state = 'here';
  }
  if (now.refused > 0) words += ` · ${now.refused} refused`;
  return (
    <a class={`strip strip-${state}`} href={now.needsSignIn ? link('sign-in') : link('sync')}>
      <svg viewBox="0 0 20 20" width="16" height="16" aria-hidden="true">
        {state === 'office' && <path d="M2 18 V9 L10 3 L18 9 V18 Z M8 18 v-5 h4 v5" class="line" />}
        {state === 'here' && <path d="M6 1 h8 v18 h-8 z M9 16.5 h2" class="line" />}
        {state === 'trouble' && <path d="M10 2 L19 18 H1 Z M10 8 v5 M10 15 v1.5" class="line" />}
      </svg>
      <span role="status">{words}</span>
    </a>
  );
}
