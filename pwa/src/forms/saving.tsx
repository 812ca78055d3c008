/** Saving from a screen: nothing is called saved before the write has resolved, and a failed one blocks in words. */
import { signal } from '@preact/signals';
import { useEffect, useRef } from 'preact/hooks';
import { NotSaved } from '../store/write.ts';

interface Failed {
  words: string;
  again: () => void;
  leave: () => void;
}

const failed = signal<Failed | null>(null);

/** What is being stored at this moment. */
const underWay = new Set<Promise<boolean>>();

/** Resolves when nothing that was typed is on its way to the storage any more. */
export async function allKept(): Promise<void> {
  while (underWay.size > 0) await Promise.all(underWay);
}

/**
 * Do `work` and answer whether it is on the phone's storage.
 *
 * When it is not, the person is told and may try again; giving up answers false and leaves the edit on the screen.
 */
export function keep(work: () => Promise<unknown>): Promise<boolean> {
  const kept = tryToKeep(work).finally(() => underWay.delete(kept));
  underWay.add(kept);
  return kept;
}

async function tryToKeep(work: () => Promise<unknown>): Promise<boolean> {
  for (;;) {
    try {
      await work();
      return true;
    } catch (fault) {
      const words = fault instanceof NotSaved ? fault.message : `Not saved: ${fault instanceof Error ? fault.message : String(fault)}`;
      const tryAgain = await new Promise<boolean>((resolve) => {
        failed.value = { words, again: () => resolve(true), leave: () => resolve(false) };
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
  return { isStored: (next) => !isBehind.current && held.current === next, written: () => { isBehind.current = true; } };
}

/** Shown over everything while a write has failed. */
export function NotSavedDialog() {
  const dialog = useRef<HTMLDialogElement>(null);
  const present = failed.value;
  useEffect(() => {
    if (present) dialog.current?.showModal();
  }, [present]);
  if (!present) return null;
  return (
    <dialog ref={dialog} class="dialog" aria-labelledby="not-saved" onCancel={(event) => { event.preventDefault(); present.leave(); }}>
      <h2 id="not-saved">Not saved</h2>
      <p>{present.words}</p>
      <p>What you typed is still on the screen.</p>
      <div class="buttons">
        <button type="button" class="button button-main" onClick={present.again}>Try again</button>
        <button type="button" class="button" onClick={present.leave}>Back to what I typed</button>
      </div>
    </dialog>
  );
}
