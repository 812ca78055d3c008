/** Small parts that the office's pages share. */
import type { StateWords } from '../../domain/office.ts';
import { waits } from '../../sync/loop.ts';
import { Notice } from '../../ui/Notice.tsx';
import { link } from '../../ui/router.ts';

/** A state as a word with a shape before it: square for what presses, triangle for what is open, tick for done, ring for the rest. */
export function StateMark({ state }: { state: StateWords }) {
  return (
    <span class={`mark mark-${state.tone}`}>
      <svg viewBox="0 0 16 16" width="14" height="14" aria-hidden="true">
        {state.tone === 'stop' && <rect x="2" y="2" width="12" height="12" class="mark-fill" />}
        {state.tone === 'check' && <path d="M8 1.5 L15 14.5 H1 Z" class="mark-fill" />}
        {state.tone === 'good' && <path d="M2 8.5 L6.5 13 L14 3.5" class="line" />}
        {state.tone === 'plain' && <circle cx="8" cy="8" r="5" class="line" />}
      </svg>
      {state.words}
    </span>
  );
}

/** Says that what is shown may be old, and why; nothing when the office answers. */
export function Trouble({ words, isShown, onAgain }: { words: string | null; isShown: boolean; onAgain?: () => void }) {
  if (!words) return null;
  return (
    <Notice tone="warning">
      <p>
        {words} {isShown ? 'What is shown is the last that came.' : ''}
      </p>
      <div class="buttons">
        {waits.value?.needsSignIn ? (
          <a class="button" href={link('sign-in')}>
            Sign in
          </a>
        ) : (
          onAgain && (
            <button type="button" class="button" onClick={onAgain}>
              Ask again
            </button>
          )
        )}
      </div>
    </Notice>
  );
}

/** How what was asked of the office went, in words. */
export interface Told {
  words: string;
  isTrouble: boolean;
}

/** Says how it went: a trouble is heard at once. Both places are there from the start, so that a screen reader hears what comes into them. */
export function Outcome({ told }: { told: Told | null }) {
  return (
    <>
      <p class="field-problem" role="alert">
        {told?.isTrouble ? told.words : null}
      </p>
      <p class="field-saved" role="status">
        {told && !told.isTrouble ? told.words : null}
      </p>
    </>
  );
}

export const officeLink = (survey: string, section?: string): string =>
  link('survey', survey, 'office', ...(section ? [section] : []));
