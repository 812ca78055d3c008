/** Saving from a screen: nothing is called saved before the write has resolved, and a failed one blocks in words. */
import { signal } from '@preact/signals';
import { useEffect, useRef } from 'preact/hooks';
import { NotSaved } from '../store/write.ts';

/** Said beside a field whose answer the phone's storage did not take; the text stays there, also when one comes back to it. */
export const NOT_TAKEN =
  'the storage of this phone did not take it. It stands here until you leave the app; free some room, then leave the field once more.';

interface Failed {
  words: string;
  isTyped: boolean;
  again: () => void;
  leave: () => void;
}

const failed = signal<Failed | null>(null);

/** A tap that begins something: a second tap of the same thumb, before the first is done, begins nothing. */
export function useOneAtATime<A extends unknown[]>(work: (...given: A) => Promise<void>): (...given: A) => void {
  const isBusy = useRef(false);
  return (...given) => {
    if (isBusy.current) return;
    isBusy.current = true;
    void work(...given).finally(() => {
      isBusy.current = false;
    });
  };
}

/** What is being stored at this moment. */
const underWay = new Set<Promise<boolean>>();

/** Resolves when nothing that was typed is on its way to the storage any more, with whether all of it was taken. */
export async function allKept(): Promise<boolean> {
  let isKept = true;
  while (underWay.size > 0) isKept = (await Promise.all(underWay)).every(Boolean) && isKept;
  return isKept;
}

/**
 * Do `work` and answer whether it is on the phone's storage.
 *
 * When it is not, the person is told and may try again; giving up answers false and leaves the edit on the screen.
 *
 * @param isTyped whether there is something typed to come back to: a photo or a new survey has nothing of the kind
 */
export function keep(work: () => Promise<unknown>, isTyped = true): Promise<boolean> {
  const kept = tryToKeep(work, isTyped).finally(() => underWay.delete(kept));
  underWay.add(kept);
  return kept;
}

async function tryToKeep(work: () => Promise<unknown>, isTyped: boolean): Promise<boolean> {
  for (;;) {
    try {
      await work();
      return true;
    } catch (fault) {
      const words = sentence(
        fault instanceof NotSaved ? fault.reason : fault instanceof Error ? fault.message : String(fault),
      );
      const tryAgain = await new Promise<boolean>((resolve) => {
        failed.value = { words, isTyped, again: () => resolve(true), leave: () => resolve(false) };
      });
      failed.value = null;
      if (!tryAgain) return false;
    }
  }
}

/**
 * Whether an answer is the one that is stored already, so that nothing need be written.
 *
 * Between a write and the screen's hearing of it, what the screen holds is one answer behind: then nothing is taken for stored.
 */
export function useStored<T>(value: T): { isStored: (next: T) => boolean; written: () => void } {
  const isBehind = useRef(false);
  const held = useRef(value);
  if (held.current !== value) isBehind.current = false;
  held.current = value;
  return {
    isStored: (next) => !isBehind.current && held.current === next,
    written: () => {
      isBehind.current = true;
    },
  };
}

const sentence = (words: string): string => `${words.slice(0, 1).toUpperCase()}${words.slice(1)}`;

/** Shown over everything while a write has failed. */
export function NotSavedDialog() {
  const dialog = useRef<HTMLDialogElement>(null);
  const present = failed.value;
  useEffect(() => {
    if (present) dialog.current?.showModal();
  }, [present]);
  if (!present) return null;
  return (
    <dialog
      ref={dialog}
      class="dialog"
      aria-labelledby="not-saved"
      onCancel={(event) => {
        event.preventDefault();
        present.leave();
      }}
    >
      <h2 id="not-saved">Not saved</h2>
      <p>{present.words}</p>
      <p>
        {present.isTyped
          ? 'What you typed is still on the screen, and what was saved before is as it was.'
          : 'What was saved before is as it was.'}
      </p>
      <div class="buttons">
        <button type="button" class="button button-main" onClick={present.again}>
          Try again
        </button>
        <button type="button" class="button" onClick={present.leave}>
          {present.isTyped ? 'Back to what I typed' : 'Leave it for now'}
        </button>
      </div>
    </dialog>
  );
}
