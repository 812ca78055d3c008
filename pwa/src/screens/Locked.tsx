/** Work of people who are not signed in, in numbers: nobody else is told more of it. */
import { lockedWords } from '../domain/words.ts';
import { watchLocked } from '../store/live.ts';
import { waits } from '../sync/loop.ts';
import { Notice } from '../ui/Notice.tsx';

let locked: ReturnType<typeof watchLocked> | null = null;

export function LockedNotice() {
  locked ??= watchLocked();
  const words = lockedWords(locked.value.value, Boolean(waits.value?.session));
  return words ? (
    <Notice tone="plain">
      <p>{words}</p>
    </Notice>
  ) : null;
}
